//! Number: decimals as whole numbers, so that nothing is lost on the way in or out.

/// A whole number of `10^-places` as a decimal text.
pub(super) fn decimal(value: i64, places: u32) -> String {
    let unit = 10_i64.pow(places.min(9));
    let width = usize::try_from(places).unwrap_or(0);
    let sign = if value < 0 { "-" } else { "" };
    let value = value.abs();
    if places == 0 {
        format!("{sign}{value}")
    } else {
        format!("{sign}{}.{:0width$}", value / unit, value % unit)
    }
}

/// Reads an `xs:float` as a whole number of `10^-places`, rounded half away from nought;
/// `None` for what is no finite number or far too large.
pub(super) fn scaled(text: &str, places: i32) -> Option<i64> {
    let text = text.trim();
    let (mantissa, exponent) = match text.find(['e', 'E']) {
        Some(at) => {
            let (mantissa, exponent) = text.split_at(at);
            (mantissa, exponent.get(1..)?.parse::<i32>().ok()?)
        }
        None => (text, 0),
    };
    let (negative, digits) = match mantissa.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, mantissa.strip_prefix('+').unwrap_or(mantissa)),
    };
    let (whole, part) = digits.split_once('.').unwrap_or((digits, ""));
    if whole.is_empty() && part.is_empty() || whole.len() + part.len() > 30 {
        return None;
    }
    if !whole
        .bytes()
        .chain(part.bytes())
        .all(|b| b.is_ascii_digit())
    {
        return None;
    }
    // The value is the digits times ten to this power.
    let power = exponent
        .checked_sub(i32::try_from(part.len()).ok()?)?
        .checked_add(places)?;
    let mut value: i128 = 0;
    for digit in whole.bytes().chain(part.bytes()) {
        value = value
            .checked_mul(10)?
            .checked_add(i128::from(digit - b'0'))?;
    }
    if power >= 0 {
        let power = u32::try_from(power).ok().filter(|power| *power <= 18)?;
        value = value.checked_mul(10_i128.pow(power))?;
    } else {
        let power = u32::try_from(-power).ok()?;
        value = match 10_i128.checked_pow(power) {
            Some(unit) => (value + unit / 2) / unit,
            None => 0,
        };
    }
    let value = i64::try_from(value).ok()?;
    Some(if negative { -value } else { value })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_go_out_and_come_back() {
        for (value, places) in [(1_234, 2), (-5, 1), (0, 3), (20_300_000, 0), (28_735, 2)] {
            let text = decimal(value, places);
            assert_eq!(
                scaled(&text, i32::try_from(places).unwrap()),
                Some(value),
                "{text}"
            );
        }
        assert_eq!(decimal(-5, 1), "-0.5");
        assert_eq!(scaled("2.03e7", 0), Some(20_300_000));
        assert_eq!(scaled("0.012", 4), Some(120));
        assert_eq!(scaled("12.345", 2), Some(1_235));
        assert_eq!(scaled("1e-30", 2), Some(0));
        for bad in ["", ".", "NaN", "INF", "1,5", "12 m", "1e99", "--1"] {
            assert_eq!(scaled(bad, 2), None, "{bad:?}");
        }
    }
}
