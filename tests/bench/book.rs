//! Times a book of ten thousand entries: reading its document, reading what it says, searching, merging.

#![allow(
    clippy::expect_used,
    reason = "a bench without its inputs is of no use"
)]

use std::hint::black_box;

use criterion::{Criterion, criterion_group, criterion_main};
use sledstance::log::{Book, DEMO, Entry, Filter, Id, Part, Reading};

/// A season after another, as the demo's team rides it.
fn book(least: usize) -> Book {
    let demo = Book::read(DEMO).expect("the demo reads");
    let mut book = demo.clone();
    let mut year = 0;
    while book.len() < least {
        year += 1;
        for entry in demo.entries() {
            let mut form = entry.form().clone();
            let named = [form.about.rider, form.about.sled];
            if named.contains(&Some(form.id)) {
                continue;
            }
            form.at_ms += year * 600_000_000;
            form.id = moved(form.id, year);
            form.supersedes = form.supersedes.map(|id| moved(id, year));
            book.insert(Entry::new(form).expect("an entry as before"));
        }
    }
    book
}

/// The same id in another year.
fn moved(id: Id, year: u64) -> Id {
    let mut random = [0; 10];
    random[2..].copy_from_slice(&(id.unix_ms() ^ year).to_be_bytes());
    Id::next(id.unix_ms() + year * 600_000_000, random, None)
}

fn benches(c: &mut Criterion) {
    let book = book(10_000);
    let text = book.write(Part::Whole, None).expect("written");
    let reading = Reading::new(&book);
    let mut group = c.benchmark_group(format!("book of {} entries", book.len()));
    group.sample_size(20);
    group.bench_function("read its document", |b| {
        b.iter(|| Book::read(black_box(&text)).expect("read"));
    });
    group.bench_function("write its document", |b| {
        b.iter(|| black_box(&book).write(Part::Whole, None).expect("written"));
    });
    group.bench_function("read what it says", |b| b.iter(|| Reading::new(&book)));
    for words in ["frozen ruts", "no such word"] {
        let filter = Filter {
            text: words.to_owned(),
            ..Filter::default()
        };
        group.bench_function(format!("search \"{words}\""), |b| {
            b.iter(|| reading.timeline(black_box(&filter)).len());
        });
    }
    let (rider, sled) = reading.pairs().next().expect("a pair");
    group.bench_function("outcomes of a rider on a sled", |b| {
        b.iter(|| reading.outcomes(rider, sled).len());
    });
    group.bench_function("merge with itself", |b| {
        b.iter(|| {
            let mut twice = book.clone();
            twice.merge(&book)
        });
    });
    group.finish();
}

criterion_group!(all, benches);
criterion_main!(all);
