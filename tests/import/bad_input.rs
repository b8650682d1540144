//! What cannot be imported, and what is said about it.

use drybench::measured::log::ImportOptions;

use crate::kit::*;

fn starts(text: impl AsRef<[u8]>, with: &str) {
    let said = refused(text);
    assert!(said.starts_with(&format!("error: log.txt{with}")), "{said}");
    assert!(said.lines().count() >= 2, "something to type: {said}");
}

#[test]
fn nothing_or_hardly_anything() {
    starts("", ": the file is empty");
    starts("\n\n", ": no reading in the first 2 lines");
    starts("time_s,temp_c,rh\n", ": no reading in its one line");
    starts("time_s,temp_c,rh\n0,20,50\n", ": there is one reading only");
    starts("hello\nworld\n", ": no reading in the first 2 lines");
    starts("{}", ": no reading");
}

#[test]
fn no_reading_in_the_first_megabyte() {
    let text = "some words without any number\n".repeat(50_000) + "T=20 C RH=50 %\n";
    starts(text, ": no reading in the first 4096 lines");
    starts("x".repeat(3 << 20), ": no reading in the first");
}

#[test]
fn files_that_are_no_text() {
    starts(b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", ": this is a PNG picture");
    starts(b"\xFF\xD8\xFF\xE0\0\x10JFIF", ": this is a JPEG picture");
    starts(b"PK\x03\x04\x14\0\0\0", ": this is an archive or a spreadsheet (ZIP)");
    let noise: Vec<u8> =
        (0..4000_u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let said = refused(&noise);
    assert!(said.contains("no text") || said.contains("no reading"), "{said}");
}

#[test]
fn under_strict_every_guess_is_an_error() {
    let options = ImportOptions { strict: true, ..ImportOptions::default() };
    let issues = refused_with("time,temp,rh\n0,20.5,50\n10,20.6,50\n20,20.7,50\n", options);
    let said: Vec<String> = issues.iter().map(ToString::to_string).collect();
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said.iter().any(|s| s.contains("--temperature-unit C")), "{said:?}");
    assert!(said.iter().any(|s| s.contains("--time-unit s")), "{said:?}");
}
