//! What stands under keys, in their order.

use core::borrow::Borrow;
use core::fmt;
use core::iter;
use core::marker::PhantomData;
use core::ops::Index;
use core::slice;

use serde::de::{MapAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A map for what is looked up more often than it is changed. It is stored as every map is.
///
/// The standard library's is a tree, of which every type of key and value brings some four kilobytes into the page. This
/// is a list in the order of its keys: what is put in at its end costs no more, what is put before others moves those
/// along.
#[derive(Clone, Debug, PartialEq)]
pub struct Map<K, V>(Vec<(K, V)>);

impl<K, V> Map<K, V> {
    /// Without anything in it.
    pub const fn new() -> Self {
        Self(Vec::new())
    }

    /// How many keys there are.
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// Whether there is none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// Take everything out.
    pub fn clear(&mut self) {
        self.0.clear();
    }

    /// Keys with what stands under them, in the order of the keys.
    pub fn iter(&self) -> <&Self as IntoIterator>::IntoIter {
        self.into_iter()
    }

    /// The keys in their order.
    pub fn keys(&self) -> impl DoubleEndedIterator<Item = &K> {
        self.0.iter().map(|(key, _)| key)
    }

    /// What stands under them, in the order of the keys.
    pub fn values(&self) -> impl DoubleEndedIterator<Item = &V> {
        self.0.iter().map(|(_, value)| value)
    }

    /// The same, taken out.
    pub fn into_values(self) -> impl Iterator<Item = V> {
        self.0.into_iter().map(|(_, value)| value)
    }

    /// The least key, with what stands under it.
    pub fn first(&self) -> Option<(&K, &V)> {
        self.iter().next()
    }

    /// Keep what is wanted.
    pub fn retain(&mut self, wanted: impl Fn(&K, &V) -> bool) {
        self.0.retain(|(key, value)| wanted(key, value));
    }
}

impl<K: Ord, V> Map<K, V> {
    fn place<Q: Ord + ?Sized>(&self, key: &Q) -> Result<usize, usize>
    where
        K: Borrow<Q>,
    {
        self.0.binary_search_by(|(at, _)| at.borrow().cmp(key))
    }

    /// What stands under a key.
    pub fn get<Q: Ord + ?Sized>(&self, key: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        self.place(key).ok().map(|place| &self.0[place].1)
    }

    /// Whether something stands under a key.
    pub fn contains_key<Q: Ord + ?Sized>(&self, key: &Q) -> bool
    where
        K: Borrow<Q>,
    {
        self.place(key).is_ok()
    }

    /// Put something under a key; gives back what stood there.
    pub fn insert(&mut self, key: K, value: V) -> Option<V> {
        match self.place(&key) {
            Ok(place) => Some(core::mem::replace(&mut self.0[place].1, value)),
            Err(place) => {
                self.0.insert(place, (key, value));
                None
            }
        }
    }

    /// Take out what stands under a key.
    pub fn remove<Q: Ord + ?Sized>(&mut self, key: &Q) -> Option<V>
    where
        K: Borrow<Q>,
    {
        self.place(key).ok().map(|place| self.0.remove(place).1)
    }

    /// What stands under a key, to be changed; where nothing does, this.
    pub fn at(&mut self, key: K, else_this: V) -> &mut V {
        let place = self.place(&key).unwrap_or_else(|place| {
            self.0.insert(place, (key, else_this));
            place
        });
        &mut self.0[place].1
    }
}

impl<K: Ord + Borrow<Q>, Q: Ord + ?Sized, V> Index<&Q> for Map<K, V> {
    type Output = V;

    fn index(&self, key: &Q) -> &V {
        match self.get(key) {
            Some(value) => value,
            None => panic!("nothing stands under this key"),
        }
    }
}

impl<K, V> Default for Map<K, V> {
    fn default() -> Self {
        Self::new()
    }
}

impl<K: Ord, V> Extend<(K, V)> for Map<K, V> {
    fn extend<I: IntoIterator<Item = (K, V)>>(&mut self, all: I) {
        for (key, value) in all {
            self.insert(key, value);
        }
    }
}

impl<K: Ord, V> FromIterator<(K, V)> for Map<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(all: I) -> Self {
        let mut map = Self::new();
        map.extend(all);
        map
    }
}

impl<K: Ord, V, const N: usize> From<[(K, V); N]> for Map<K, V> {
    fn from(all: [(K, V); N]) -> Self {
        all.into_iter().collect()
    }
}

impl<K, V> IntoIterator for Map<K, V> {
    type Item = (K, V);
    type IntoIter = std::vec::IntoIter<(K, V)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.into_iter()
    }
}

impl<'a, K, V> IntoIterator for &'a Map<K, V> {
    type Item = (&'a K, &'a V);
    type IntoIter = iter::Map<slice::Iter<'a, (K, V)>, fn(&'a (K, V)) -> Self::Item>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter().map(|(key, value)| (key, value))
    }
}

impl<'a, K, V> IntoIterator for &'a mut Map<K, V> {
    type Item = (&'a K, &'a mut V);
    type IntoIter = iter::Map<slice::IterMut<'a, (K, V)>, fn(&'a mut (K, V)) -> Self::Item>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter_mut().map(|(key, value)| (&*key, value))
    }
}

impl<K: Serialize, V: Serialize> Serialize for Map<K, V> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_map(self)
    }
}

impl<'de, K: Deserialize<'de> + Ord, V: Deserialize<'de>> Deserialize<'de> for Map<K, V> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Entries<K, V>(PhantomData<(K, V)>);

        impl<'de, K: Deserialize<'de> + Ord, V: Deserialize<'de>> Visitor<'de> for Entries<K, V> {
            type Value = Map<K, V>;

            fn expecting(&self, f: &mut fmt::Formatter) -> fmt::Result {
                f.write_str("a map")
            }

            fn visit_map<A: MapAccess<'de>>(self, mut all: A) -> Result<Self::Value, A::Error> {
                let mut map = Map::new();
                while let Some((key, value)) = all.next_entry()? {
                    map.insert(key, value);
                }
                Ok(map)
            }
        }

        deserializer.deserialize_map(Entries(PhantomData))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;
    use std::collections::BTreeMap;

    proptest! {
        #[test]
        fn holds_what_a_tree_holds(
            changes in prop::collection::vec((0_u8..12, any::<bool>(), any::<i32>()), 0..60),
        ) {
            let (mut map, mut tree) = (Map::new(), BTreeMap::new());
            for (key, put, value) in changes {
                let key = key.to_string();
                if put {
                    prop_assert_eq!(map.insert(key.clone(), value), tree.insert(key, value));
                } else {
                    prop_assert_eq!(map.remove(&key), tree.remove(&key));
                    *map.at(key.clone(), 1) += 1;
                    *tree.entry(key).or_insert(1) += 1;
                }
                prop_assert!(map.iter().eq(tree.iter()));
            }
            prop_assert_eq!(map.len(), tree.len());
            prop_assert_eq!(map.first(), tree.first_key_value());
            for key in (0..12).map(|key: u8| key.to_string()) {
                prop_assert_eq!(map.get(key.as_str()), tree.get(key.as_str()));
                prop_assert_eq!(map.contains_key(&key), tree.contains_key(&key));
            }
            let text = serde_json::to_string(&map).unwrap();
            prop_assert_eq!(&text, &serde_json::to_string(&tree).unwrap());
            prop_assert_eq!(serde_json::from_str::<Map<String, i32>>(&text).unwrap(), map);
        }
    }
}
