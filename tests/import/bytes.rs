//! Encodings, line ends and stray bytes.

use crate::kit::*;

const TEXT: &str = "time_s;Temperatur [°C];Feuchte [%]\n0;20.5;50.5\n10;20.6;50.6\n";

#[test]
fn all_encodings_and_line_ends_give_the_same() {
    let (_, want) = read(TEXT);
    let wide = |order: fn(u16) -> [u8; 2], mark: &str| -> Vec<u8> {
        format!("{mark}{TEXT}").encode_utf16().flat_map(order).collect()
    };
    let latin: Vec<u8> = TEXT.chars().map(|c| c as u32 as u8).collect();
    for (name, bytes) in [
        ("mark", format!("\u{feff}{TEXT}").into_bytes()),
        ("crlf", TEXT.replace('\n', "\r\n").into_bytes()),
        ("cr", TEXT.replace('\n', "\r").into_bytes()),
        ("crcrlf", TEXT.replace('\n', "\r\r\n").into_bytes()),
        ("no end", TEXT.trim_end().as_bytes().to_vec()),
        ("utf-16 le", wide(u16::to_le_bytes, "\u{feff}")),
        ("utf-16 be", wide(u16::to_be_bytes, "\u{feff}")),
        ("utf-16 bare", wide(u16::to_le_bytes, "")),
        ("latin-1", latin),
    ] {
        let (summary, series) = read(&bytes);
        assert_eq!(series, want, "{name}");
        assert_eq!(ledger(&summary), "3 lines = 2 readings + 1 header", "{name}");
    }
}

#[test]
fn latin_1_is_told() {
    let latin: Vec<u8> = TEXT.chars().map(|c| c as u32 as u8).collect();
    assert!(warnings(&read(&latin).0).contains("1 line is not UTF-8 and was read as Latin-1"));
}

#[test]
fn nuls_of_a_power_cut() {
    let text = b"time_s,temp_c,rh\n0,20.5,50.5\n\0\0\0\0\n\0\0\x310,20.6,50.6\n20,2\x000.7,50.7\n30,20.8,50.8\n".to_vec();
    let (summary, series) = read(&text);
    assert_eq!(values(&series, "", Temp), [20.5, 20.6, 20.8]);
    assert_eq!(ledger(&summary), "6 lines = 3 readings + 1 header + 2 damaged");
    assert!(warnings(&summary).contains("3 lines have NUL bytes"), "{}", warnings(&summary));
}
