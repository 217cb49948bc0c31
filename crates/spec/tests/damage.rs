//! Damaged files: nothing panics, and whatever is reported can be shown.

use spec::{Diagnostic, Source, read_design, read_shop};

const SPEC: &[u8] = include_bytes!("data/full.toml");
const SHOP: &[u8] = include_bytes!("data/full.shop.toml");

/// What people and editors leave in files, and what parsers trip over.
const SCRAPS: [&[u8]; 24] = [
    b"\"?\"",
    b"nan",
    b"-inf",
    b"1e308",
    b"-1e308",
    b"1e-320",
    b"0",
    b"-0.0",
    b"-",
    b"[",
    b"]",
    b"{",
    b"}",
    b"\"",
    b"'''",
    b"=",
    b",",
    b"\n",
    b"#",
    b"\xff",
    "é".as_bytes(),
    "\u{feff}".as_bytes(),
    b"\"1 7/0 in\"",
    b"0x7fffffffffff",
];

/// A small linear congruential generator (Knuth's MMIX constants): the same damage on every run.
struct Dice(u64);

impl Dice {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        (self.0 >> 33) as usize % bound.max(1)
    }
}

/// `bytes` damaged once: cut, emptied, overwritten, doubled, moved or with a scrap put in.
fn damage(bytes: &mut Vec<u8>, dice: &mut Dice) {
    let start = dice.below(bytes.len());
    let end = (start + 1 + dice.below(40)).min(bytes.len());
    match dice.below(7) {
        0 => bytes.truncate(start),
        1 => drop(bytes.drain(start..end)),
        2 if !bytes.is_empty() => bytes[start] = dice.below(256) as u8,
        3 => {
            let piece = bytes[start..end].to_vec();
            bytes.splice(start..start, piece);
        }
        4 => {
            let piece: Vec<u8> = bytes.drain(start..end).collect();
            let place = dice.below(bytes.len());
            bytes.splice(place..place, piece);
        }
        5 => {
            let mut lines: Vec<Vec<u8>> = bytes.split(|b| *b == b'\n').map(<[u8]>::to_vec).collect();
            let line = dice.below(lines.len());
            if dice.below(2) == 0 {
                drop(lines.remove(line))
            } else {
                lines.insert(line, lines[line].clone())
            }
            *bytes = lines.join(&b'\n');
        }
        _ => {
            let scrap = SCRAPS[dice.below(SCRAPS.len())];
            // In place of a token as often as between two.
            let stop = if dice.below(2) == 0 { start } else { end_of_token(bytes, start) };
            bytes.splice(start..stop, scrap.iter().copied());
        }
    }
}

fn end_of_token(bytes: &[u8], start: usize) -> usize {
    let ends = |b: &u8| b" ,]}\n\"".contains(b);
    bytes[start..].iter().position(ends).map_or(bytes.len(), |length| start + length)
}

fn check(faults: &[Diagnostic], bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes);
    assert!(!faults.is_empty(), "refused without a reason:\n{text}");
    for fault in faults {
        assert!(fault.source.text.get(fault.span.clone()).is_some(), "{fault} marks no text of:\n{text}");
        assert!(!fault.message.is_empty() && !fault.help.is_empty(), "{fault} has no mend in:\n{text}");
    }
}

/// Reads a damaged spec with an undamaged shop file, and returns whether it could be read.
fn read_spec(bytes: &[u8]) -> bool {
    let source = match Source::from_bytes("damaged.toml", bytes) {
        Ok(source) => source,
        Err(fault) => {
            return {
                check(&[fault], bytes);
                false
            };
        }
    };
    let mut load = |_: &str| Source::from_bytes("full.shop.toml", SHOP).map_err(|fault| fault.message);
    match read_design(&source, &mut load) {
        Ok((design, origins)) => {
            for run in &design.runs {
                assert!(run.sections.iter().all(|s| s.from.is_finite() && s.section.bore() > 0.0));
                assert!(origins.find(&format!("run.{}", run.name)).1.end > 0);
            }
            true
        }
        Err(faults) => {
            check(&faults, bytes);
            false
        }
    }
}

#[test]
fn a_damaged_spec_is_read_or_refused_with_reasons() {
    let starters = spec::StarterLayout::ALL.map(|layout| spec::starter(layout).into_bytes());
    let seeds: Vec<&[u8]> = std::iter::once(SPEC).chain(starters.iter().map(Vec::as_slice)).collect();
    let mut dice = Dice(20);
    let (mut read, mut refused) = (0, 0);
    for round in 0..6000 {
        let mut bytes = seeds[round % seeds.len()].to_vec();
        for _ in 0..1 + dice.below(3) {
            damage(&mut bytes, &mut dice);
        }
        if read_spec(&bytes) { read += 1 } else { refused += 1 }
    }
    assert!(
        read > 100 && refused > 1000,
        "the damage is too small or too large: {read} read, {refused} refused"
    );
}

#[test]
fn a_damaged_shop_file_is_read_or_refused_with_reasons() {
    let mut dice = Dice(21);
    for _ in 0..3000 {
        let mut bytes = SHOP.to_vec();
        damage(&mut bytes, &mut dice);
        let Ok(source) = Source::from_bytes("damaged.toml", &bytes) else { continue };
        if let Err(faults) = read_shop(&source) {
            check(&faults, &bytes);
        }
    }
}

#[test]
fn every_beginning_of_a_spec_is_read_or_refused_with_reasons() {
    for end in 0..SPEC.len() {
        read_spec(&SPEC[..end]);
    }
}

/// Files as large as are read at all answer at once.
#[test]
fn a_file_of_a_megabyte_is_refused_with_reasons() {
    for (head, line) in
        [("", "[run.r%]\n"), ("", "k% = 1\n"), ("[run.a]\npath = [\n", "{ straight = % },\n"), ("", "a.")]
    {
        let mut text = head.to_owned();
        for count in 0.. {
            let line = line.replace('%', &count.to_string());
            if text.len() + line.len() > spec::source::LARGEST {
                break;
            }
            text += &line;
        }
        assert!(!read_spec(text.as_bytes()));
    }
}
