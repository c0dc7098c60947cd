//! Orders the functions of a WebAssembly module by likeness: `arrange FILE` writes the file anew.
//!
//! What compresses a download finds repetitions in the last 32 kB alone, and the functions that Rust makes of one
//! generic function are much alike. wasm-bindgen leaves functions in the order of their size. Here each is followed by
//! the one of whose bytes most stand in the functions just before it. Nothing changes but the functions' numbers.

use std::collections::VecDeque;
use std::process::ExitCode;

use wasm_encoder::reencode::{Error, Reencode, utils};
use wasm_encoder::{CodeSection, FunctionSection, Module};
use wasmparser::{CodeSectionReader, FunctionSectionReader, Parser, Payload, TypeRef, Validator};

/// How far back repetitions are found, with a little room for what is being compressed.
const WINDOW: usize = 30_000;

/// Bytes of which likeness is made: long enough to be no accident.
const PIECE: usize = 6;

/// A piece that more functions have says nothing about any of them.
const COMMON: usize = 400;

type Outcome<T> = Result<T, Box<dyn std::error::Error>>;

fn main() -> ExitCode {
    let Some(file) = std::env::args().nth(1) else {
        eprintln!("usage: arrange FILE.wasm");
        return ExitCode::from(2);
    };
    if file == "--version" {
        println!("arrange {}", env!("CARGO_PKG_VERSION"));
        return ExitCode::SUCCESS;
    }
    let written = std::fs::read(&file)
        .map_err(Into::into)
        .and_then(|module| arranged(&module))
        .and_then(|module| Ok(std::fs::write(&file, module)?));
    match written {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("arrange: {file}: {error}");
            ExitCode::FAILURE
        }
    }
}

fn arranged(bytes: &[u8]) -> Outcome<Vec<u8>> {
    let (mut imported, mut bodies) = (0, Vec::new());
    for payload in Parser::new(0).parse_all(bytes) {
        match payload? {
            Payload::ImportSection(imports) => {
                for import in imports.into_imports() {
                    imported += usize::from(matches!(import?.ty, TypeRef::Func(_)));
                }
            }
            Payload::CodeSectionEntry(body) => bodies.push(body.as_bytes()),
            _ => {}
        }
    }
    let order = by_likeness(&bodies);
    let mut number: Vec<u32> = (0..(imported + bodies.len()) as u32).collect();
    for (new, old) in order.iter().enumerate() {
        number[imported + old] = (imported + new) as u32;
    }
    let mut module = Module::new();
    Renumbered { order, number }.parse_core_module(&mut module, Parser::new(0), bytes)?;
    let module = module.finish();
    Validator::new().validate_all(&module)?;
    Ok(module)
}

/// Writes a module with its own functions in another order.
struct Renumbered {
    /// The function that comes to each place, counted without the imported ones.
    order: Vec<usize>,
    /// The new number of each function.
    number: Vec<u32>,
}

impl Reencode for Renumbered {
    type Error = std::convert::Infallible;

    fn function_index(&mut self, old: u32) -> Result<u32, Error<Self::Error>> {
        Ok(self.number[old as usize])
    }

    fn parse_function_section(
        &mut self,
        functions: &mut FunctionSection,
        section: FunctionSectionReader<'_>,
    ) -> Result<(), Error<Self::Error>> {
        let types = section.into_iter().collect::<Result<Vec<u32>, _>>()?;
        for old in &self.order {
            functions.function(types[*old]);
        }
        Ok(())
    }

    fn parse_code_section(
        &mut self,
        code: &mut CodeSection,
        section: CodeSectionReader<'_>,
    ) -> Result<(), Error<Self::Error>> {
        let bodies = section.into_iter().collect::<Result<Vec<_>, _>>()?;
        for old in self.order.clone() {
            utils::parse_function_body(self, code, bodies[old].clone())?;
        }
        Ok(())
    }
}

/// Each followed by the one most of whose pieces stand in the last ones.
fn by_likeness(bodies: &[&[u8]]) -> Vec<usize> {
    let mut found: Vec<(&[u8], usize)> = Vec::new();
    for (body, bytes) in bodies.iter().enumerate() {
        found.extend(bytes.windows(PIECE).map(|piece| (piece, body)));
    }
    found.sort_unstable();
    found.dedup();
    let holders: Vec<Vec<usize>> = found
        .chunk_by(|a, b| a.0 == b.0)
        .filter(|holders| (2..=COMMON).contains(&holders.len()))
        .map(|holders| holders.iter().map(|(_, body)| *body).collect())
        .collect();
    let mut pieces = vec![Vec::new(); bodies.len()];
    for (piece, holders) in holders.iter().enumerate() {
        for body in holders {
            pieces[*body].push(piece);
        }
    }

    let mut open: Vec<usize> = (0..bodies.len()).collect();
    let mut order = Vec::new();
    // The functions just before, their bytes, how often each piece is in them, and how many pieces each body has there.
    let (mut near, mut bytes) = (VecDeque::new(), 0);
    let mut standing = vec![0_u32; holders.len()];
    let mut shared = vec![0_u32; bodies.len()];
    let likeness = |shared: u32, body: usize| f64::from(shared) / (bodies[body].len() + 20) as f64;
    while let Some((place, next)) = open.iter().copied().enumerate().max_by(|a, b| {
        let like = |body: usize| likeness(shared[body], body);
        like(a.1)
            .total_cmp(&like(b.1))
            .then(bodies[a.1].len().cmp(&bodies[b.1].len()))
            .then(b.1.cmp(&a.1))
    }) {
        open.swap_remove(place);
        order.push(next);
        near.push_back(next);
        bytes += bodies[next].len();
        for piece in &pieces[next] {
            standing[*piece] += 1;
            if standing[*piece] == 1 {
                holders[*piece].iter().for_each(|body| shared[*body] += 1);
            }
        }
        while bytes > WINDOW && near.len() > 1 {
            let Some(gone) = near.pop_front() else { break };
            bytes -= bodies[gone].len();
            for piece in &pieces[gone] {
                standing[*piece] -= 1;
                if standing[*piece] == 0 {
                    holders[*piece].iter().for_each(|body| shared[*body] -= 1);
                }
            }
        }
    }
    order
}

#[cfg(test)]
mod tests {
    use super::*;
    use wasm_encoder::{
        CodeSection, ExportKind, ExportSection, Function, FunctionSection, TypeSection, ValType,
    };

    /// A module of functions that answer with sums of the given numbers; the first calls the second.
    fn module(sums: &[Vec<i32>]) -> Vec<u8> {
        let (mut types, mut functions) = (TypeSection::new(), FunctionSection::new());
        let (mut exports, mut code) = (ExportSection::new(), CodeSection::new());
        types.ty().function([], [ValType::I32]);
        for (number, sum) in sums.iter().enumerate() {
            functions.function(0);
            exports.export(&format!("f{number}"), ExportKind::Func, number as u32);
            let mut body = Function::new([]);
            if number == 0 {
                body.instructions().call(1);
            } else {
                body.instructions().i32_const(0);
            }
            for term in sum {
                body.instructions().i32_const(*term).i32_add();
            }
            body.instructions().end();
            code.function(&body);
        }
        let mut module = Module::new();
        module.section(&types).section(&functions).section(&exports);
        module.section(&code);
        module.finish()
    }

    /// The place of each exported function by name, and the bytes of each function.
    fn read(module: &[u8]) -> (Vec<u32>, Vec<&[u8]>) {
        let (mut places, mut bodies) = (Vec::new(), Vec::new());
        for payload in Parser::new(0).parse_all(module) {
            match payload.unwrap() {
                Payload::ExportSection(all) => {
                    places.extend(all.into_iter().map(|export| export.unwrap().index));
                }
                Payload::CodeSectionEntry(body) => bodies.push(body.as_bytes()),
                _ => {}
            }
        }
        (places, bodies)
    }

    #[test]
    fn what_is_alike_comes_together_and_every_name_keeps_its_function() {
        let ones: Vec<i32> = (1000..1200).collect();
        let twos: Vec<i32> = (5000..5190).collect();
        let before = module(&[ones.clone(), twos.clone(), ones, twos]);
        let after = arranged(&before).unwrap();
        let ((_, old), (places, new)) = (read(&before), read(&after));
        assert_eq!(places[0].abs_diff(places[2]), 1);
        assert_eq!(places[1].abs_diff(places[3]), 1);
        for name in 1..4 {
            assert_eq!(old[name], new[places[name] as usize], "f{name}");
        }
        // The call of the first goes to where the second now is.
        let call = [0x10, places[1] as u8];
        assert!(new[places[0] as usize].windows(2).any(|w| w == call));
        assert_eq!(arranged(&before).unwrap(), after);
    }
}
