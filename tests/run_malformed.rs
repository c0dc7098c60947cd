//! Files that are no run, or not wholly: each kind with the message that it gets.
#![allow(clippy::unwrap_used, clippy::expect_used, reason = "a test may panic")]

use sledstance::run::{Columns, FaultKind, Gravity, HEAD, Opening, Options, Survey, Surveyed};

/// Reads a file as far as it can be, with guessed columns.
fn survey(bytes: &[u8]) -> Result<Surveyed, String> {
    let head = &bytes[..bytes.len().min(HEAD)];
    let opening = Opening::read(head, bytes.len() <= HEAD).map_err(|e| e.to_string())?;
    let channels = Columns::guess(&opening)
        .on(&opening)
        .map_err(|e| e.to_string())?;
    let mut survey = Survey::new(&opening, &channels, &Options::default());
    survey.push(bytes);
    survey.finish().map_err(|e| e.to_string())
}

/// A sound run of 400 rows at 100 Hz, row by row; `change` may replace a row.
fn run(change: impl Fn(usize, String) -> String) -> String {
    with("time,ax [g],az [g]", change)
}

fn with(heading: &str, change: impl Fn(usize, String) -> String) -> String {
    let mut text = format!("{heading}\n");
    for i in 0..400 {
        text.push_str(&change(i, format!("{:.2},0.01,1.00", i as f64 / 100.0)));
        text.push('\n');
    }
    text
}

/// The sound run with one other row, on line 102 in place of 1.00 s.
fn broken(other: &str) -> String {
    run(|i, row| if i == 100 { other.to_owned() } else { row })
}

fn refused(bytes: impl AsRef<[u8]>, wanted: &str) {
    let found = survey(bytes.as_ref()).expect_err(wanted);
    assert_eq!(found, wanted);
}

/// One row is left out, and said so.
fn left_out(text: &str, kind: FaultKind, wanted: &str) {
    let found = survey(text.as_bytes()).unwrap();
    assert_eq!(found.faults.count(kind), 1, "{wanted}: {:?}", found.faults);
    assert_eq!(found.faults.total(), 1);
    assert_eq!(found.faults.told()[0].says, wanted);
    assert_eq!(found.rows.used + 1, found.rows.all);
    let notes = found.notes(&Options::default(), Default::default());
    assert!(notes.iter().any(|n| n.contains(wanted)), "{notes:?}");
}

#[test]
fn the_sound_run_is_sound() {
    let found = survey(run(|_, row| row).as_bytes()).unwrap();
    assert_eq!((found.rows.used, found.faults.total()), (400, 0));
    assert!(found.still.is_some());
}

#[test]
fn nothing_at_all() {
    refused("", "the file is empty");
    refused(b"\xef\xbb\xbf \n\n", "the file is empty");
}

#[test]
fn two_byte_text() {
    refused(
        b"\xff\xfet\0i\0m\0e\0",
        "the file is text in UTF-16; save it as CSV in UTF-8",
    );
}

#[test]
fn no_text() {
    refused(
        b"PK\x03\x04\x14\0\x06\0",
        "the file is not text (byte 6 is zero); export the run as CSV",
    );
}

#[test]
fn prose() {
    refused(
        "Dear rider,\nhere is your run.\n",
        "no table was found in the first 2 lines: a row needs at least two numbers, parted by comma, semicolon, \
         tabulator, vertical bar or spaces",
    );
}

#[test]
fn one_column_alone() {
    refused(
        "time\n0.0\n0.1\n0.2\n",
        "no table was found in the first 4 lines: a row needs at least two numbers, parted by comma, semicolon, \
         tabulator, vertical bar or spaces",
    );
}

#[test]
fn a_comma_for_everything() {
    let text = with("time,ax,az", |i, _| {
        format!("{},{:02},0,01,1,00", i / 100, i % 100)
    });
    refused(
        text,
        "line 2: 6 cells under 3 names: the comma seems to part cells and to be the decimal point too; export with \
         semicolons or with decimal points",
    );
}

#[test]
fn a_heading_of_another_table() {
    refused(
        with("time,ax,ay,az,speed", |_, row| row),
        "line 2: 3 cells under a heading of 5 names",
    );
}

#[test]
fn no_vertical_column() {
    refused(
        with("time,ax [g],depth", |_, row| row),
        "vertical: no column is named for it; the file has \"time\", \"ax [g]\", \"depth\"",
    );
}

#[test]
fn no_heading() {
    let text = run(|_, row| row);
    refused(
        text.split_once('\n').unwrap().1,
        "time: no column is named for it; the file has \"column 1\", \"column 2\", \"column 3\"",
    );
}

#[test]
fn a_file_that_ends_at_once() {
    refused(
        "time,ax,az\n0,0.0,1.0\n0.01,0.0,1.0\n",
        "only 2 of 2 rows can be used, at least 10 are needed",
    );
}

#[test]
fn a_short_row() {
    let text = broken("1.00,0.01");
    left_out(
        &text,
        FaultKind::Ragged,
        "line 102: 2 cells; the heading has 3 names",
    );
}

#[test]
fn a_long_row() {
    let text = broken("1.00,0.01,1.00,7");
    left_out(
        &text,
        FaultKind::Ragged,
        "line 102: 4 cells; the heading has 3 names",
    );
}

#[test]
fn a_word_for_a_number() {
    let text = broken("1.00,0.01,#ERR");
    left_out(
        &text,
        FaultKind::NotANumber,
        "line 102, column 3 (az [g]): \"#ERR\" is no number; a number with a decimal point is allowed",
    );
}

#[test]
fn another_decimal_mark() {
    let text = broken("1.00,\"0,01\",1.00");
    left_out(
        &text,
        FaultKind::NotANumber,
        "line 102, column 2 (ax [g]): \"0,01\" is no number; a number with a decimal point is allowed",
    );
}

#[test]
fn infinity() {
    let text = broken("1.00,inf,1.00");
    left_out(
        &text,
        FaultKind::NotANumber,
        "line 102, column 2 (ax [g]): \"inf\" is no number; a number with a decimal point is allowed",
    );
}

#[test]
fn a_value_that_no_sensor_reads() {
    let text = broken("1.00,0.01,327.67");
    left_out(
        &text,
        FaultKind::OutOfRange,
        "line 102, column 3 (az [g]): \"327.67\" is outside -50.000000 to 50.000000 g for vertical",
    );
}

#[test]
fn a_time_twice() {
    let text = broken("0.99,0.01,1.00");
    left_out(
        &text,
        FaultKind::TimeRepeats,
        "line 102: time 0.99 s, after 0.99 s in a row before; it must grow",
    );
}

#[test]
fn a_time_that_runs_back() {
    let text = broken("0.5,0.01,1.00");
    left_out(
        &text,
        FaultKind::TimeRunsBack,
        "line 102: time 0.5 s, after 0.99 s in a row before; it must grow",
    );
}

#[test]
fn two_runs_in_one_file() {
    let text = run(|i, row| {
        if i < 200 {
            row
        } else {
            format!("{:.2},0.01,1.00", (i - 200) as f64 / 100.0)
        }
    });
    refused(
        text,
        "200 of 400 rows cannot be used, more than one in ten; mostly a time that runs back; the first: line 202: time 0 \
         s, after 1.99 s in a row before; it must grow",
    );
}

#[test]
fn an_open_quotation_mark() {
    let text = broken("1.00,\"0.01,1.00");
    left_out(
        &text,
        FaultKind::Quote,
        "line 102, column 2: a quotation mark is not closed on its line",
    );
}

#[test]
fn a_line_without_end() {
    let text = broken(&"7".repeat(100_000));
    left_out(
        &text,
        FaultKind::TooLong,
        "line 102: longer than 65536 bytes; a row must end before",
    );
}

#[test]
fn a_summary_behind_the_table() {
    let text = run(|_, row| row) + "max,0.01,1.00\n";
    left_out(
        &text,
        FaultKind::NotANumber,
        "line 402, column 1 (time): \"max\" is no number; a number with a decimal point is allowed",
    );
}

#[test]
fn a_file_that_was_cut_off() {
    let text = run(|_, row| row) + "4.00,0.0";
    left_out(
        &text,
        FaultKind::Ragged,
        "line 402: 2 cells; the heading has 3 names",
    );
}

#[test]
fn a_time_in_another_unit() {
    let text = with("time,ax [g],az [g]", |i, _| format!("{},0.01,1.00", i * 10));
    refused(
        text,
        "time: the usual step between rows is 10 s; 0.0001 to 1 s are allowed: is the unit of the time column right?",
    );
}

#[test]
fn a_sensor_upside_down() {
    // The guess looks at the first rows alone; behind them the sensor reads the other way.
    let text = run(|i, row| {
        if i < 10 {
            row
        } else {
            row.replace(",1.00", ",-1.00")
        }
    });
    refused(
        text,
        "vertical: reads -1.00 g while the sled stands still, where 1 is wanted: say that it is reversed",
    );
}

#[test]
fn swapped_columns() {
    let text = with("time,az [g],ax [g]", |_, row| row.replace("1.00", "0.99"));
    refused(
        text,
        "vertical: while the sled stands still gravity lies 89\u{b0} off this column, at most 45 are allowed: are the \
         columns swapped?",
    );
}

#[test]
fn another_unit_than_said() {
    let text = run(|_, row| row.replace(",1.00", ",9.81"));
    refused(
        text,
        "acceleration: reads 9.810 g in all while the sled stands still, where 0.8 to 1.2 is allowed: the unit looks like \
         m/s2",
    );
}

#[test]
fn gravity_taken_out() {
    let text = run(|_, row| row.replace(",1.00", ",0.00"));
    refused(
        text,
        "acceleration: reads 0.010 g in all while the sled stands still, where 0.8 to 1.2 is allowed: the logger seems to \
         have taken gravity out: say that it is removed",
    );
}

#[test]
fn gravity_said_to_be_taken_out_and_there() {
    let text = run(|_, row| row);
    let opening = Opening::read(text.as_bytes(), true).unwrap();
    let mut columns = Columns::guess(&opening);
    columns.gravity = Gravity::Removed;
    let channels = columns.on(&opening).unwrap();
    let mut survey = Survey::new(&opening, &channels, &Options::default());
    survey.push(text.as_bytes());
    assert_eq!(
        survey.finish().unwrap_err().to_string(),
        "acceleration: reads 1.00 g in all while the sled stands still, where 0 to 0.5 is allowed of a logger that took \
         gravity out: say that it is included"
    );
}
