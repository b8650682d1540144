//! Splitting typed text into a number and a unit.

use super::{Kind, UnitError};

/// A unit name in the one spelling the table knows: no blanks, brackets or product dots,
/// superscripts as digits, one micro sign, one degree sign, one capital delta.
pub fn canonical(unit: &str) -> String {
    let mut out = String::with_capacity(unit.len());
    for c in unit.chars() {
        match c {
            c if c.is_whitespace() => {}
            '(' | ')' | '[' | ']' | '^' | '·' | '⋅' | '*' => {}
            '²' => out.push('2'),
            '³' => out.push('3'),
            'µ' | 'μ' => out.push('u'),
            '℃' => out.push_str("°C"),
            '℉' => out.push_str("°F"),
            'º' | '˚' => out.push('°'),
            '∆' => out.push('Δ'),
            '−' => out.push('-'),
            '⁻' => out.push('-'),
            '¹' => out.push('1'),
            '％' => out.push('%'),
            '∕' | '⁄' => out.push('/'),
            c => out.push(c),
        }
    }
    out
}

/// The number at the start of `text` and what follows it.
///
/// The typed unit is returned untrimmed so that messages can quote it.
pub fn number(kind: Kind, text: &str) -> Result<(f64, &str), UnitError> {
    let end = number_end(text);
    let typed = &text[..end];
    let rest = &text[end..];
    if typed.is_empty() {
        return Err(no_number(kind, text));
    }
    if let Some(error) = separator(text, typed, rest) {
        return Err(error);
    }
    if rest.starts_with('.') {
        return Err(UnitError::NotANumber { kind });
    }
    let value: f64 = typed.replace('−', "-").parse().map_err(|_| UnitError::NotANumber { kind })?;
    if value.is_finite() { Ok((value, rest)) } else { Err(UnitError::NonFinite { kind }) }
}

/// Byte length of the longest prefix that reads as a number; 0 if there is none.
fn number_end(text: &str) -> usize {
    let bytes = text.as_bytes();
    let digits = |mut at: usize| {
        while bytes.get(at).is_some_and(u8::is_ascii_digit) {
            at += 1;
        }
        at
    };
    let start = sign_len(text);
    let mut end = digits(start);
    let mut count = end - start;
    if bytes.get(end) == Some(&b'.') {
        let after = digits(end + 1);
        count += after - end - 1;
        end = if count > 0 { after } else { end };
    }
    if count == 0 {
        return 0;
    }
    if matches!(bytes.get(end), Some(b'e' | b'E')) {
        let sign = sign_len(&text[end + 1..]);
        let after = digits(end + 1 + sign);
        if after > end + 1 + sign {
            end = after;
        }
    }
    end
}

fn sign_len(text: &str) -> usize {
    match text.chars().next() {
        Some(c @ ('+' | '-' | '−')) => c.len_utf8(),
        _ => 0,
    }
}

fn no_number(kind: Kind, text: &str) -> UnitError {
    let word = text[sign_len(text)..].to_lowercase();
    if ["inf", "nan", "∞"].iter().any(|w| word.starts_with(w)) {
        UnitError::NonFinite { kind }
    } else {
        UnitError::NotANumber { kind }
    }
}

/// Recognises a decimal comma and thousands separators, and says what was probably meant.
fn separator(whole: &str, typed: &str, rest: &str) -> Option<UnitError> {
    let first = rest.chars().next()?;
    let spaced = first.is_whitespace();
    if !(spaced || matches!(first, ',' | '_' | '\'' | '’')) {
        return None;
    }
    let next = rest[first.len_utf8()..].chars().next()?;
    if !next.is_ascii_digit() {
        return None;
    }
    let is_part = |c: char| c.is_ascii_digit() || c == '.' || c == first;
    let tail_end = rest.find(|c| !is_part(c)).unwrap_or(rest.len());
    let tail = rest[..tail_end].trim_end();
    let unit = rest[tail_end..].trim_start();
    if spaced && unit.starts_with('/') {
        return None; // "0.004 1/K": the digit belongs to the unit
    }
    let number = format!("{typed}{tail}");
    let joined: String = number.chars().filter(|c| *c != first).collect();
    let with_unit = |n: &str| {
        if unit.is_empty() { n.to_owned() } else { format!("{n} {unit}") }
    };
    if first != ',' {
        return Some(UnitError::ThousandsSeparator { fixed: with_unit(&joined), or: None });
    }
    Some(comma(&number, &joined, typed, with_unit, whole))
}

fn comma(
    number: &str,
    joined: &str,
    typed: &str,
    with_unit: impl Fn(&str) -> String,
    whole: &str,
) -> UnitError {
    let decimal = with_unit(&number.replace(',', "."));
    let last_group = number.rsplit(',').next().unwrap_or(whole);
    let many = number.matches(',').count() > 1;
    if typed.contains('.') && !many {
        // "1.234,5 mm": dots group, the comma is decimal
        let fixed = number.replace('.', "").replace(',', ".");
        return UnitError::DecimalComma { fixed: with_unit(&fixed) };
    }
    if many || last_group.contains('.') {
        return UnitError::ThousandsSeparator { fixed: with_unit(joined), or: None };
    }
    if last_group.len() == 3 && !typed.trim_start_matches(['+', '-', '−']).starts_with('0') {
        return UnitError::ThousandsSeparator { fixed: with_unit(joined), or: Some(decimal) };
    }
    UnitError::DecimalComma { fixed: decimal }
}
