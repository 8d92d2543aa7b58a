//! Shop economics: cost accounting and decimal arithmetic, derived outside this program; minor units by ISO 4217, from memory.

use rust_decimal::Decimal;
use std::str::FromStr;
use units::money::{price_by_margin, price_by_markup, tax};
use units::{Currency, Money, Rounding, TaxRounding};

fn decimal(text: &str) -> Decimal {
    Decimal::from_str(text).unwrap()
}

fn pounds(amount: Decimal, rounding: Rounding) -> i64 {
    Money::from_decimal(amount, Currency::GBP, rounding).unwrap().minor
}

#[test]
fn e1_cost_margin_and_markup() {
    let direct = decimal("420.00") + decimal("31.09") + decimal("12.40");
    let cost = direct * decimal("1.15");
    assert_eq!(cost, decimal("533.0135"));
    let by = |cost| {
        let margin = price_by_margin(cost, decimal("0.20")).unwrap();
        let markup = price_by_markup(cost, decimal("0.20")).unwrap();
        (pounds(margin, Rounding::HalfUp), pounds(markup, Rounding::HalfUp))
    };
    assert_eq!(by(cost), (66_627, 63_962));
    // rounding the cost first gives another price: the rounding point matters
    let rounded = Money::from_decimal(cost, Currency::GBP, Rounding::HalfUp).unwrap();
    assert_eq!(rounded.minor, 53_301);
    assert_eq!(by(rounded.to_decimal()), (66_626, 63_961));
}

#[test]
fn e6_rounding_is_exact_and_named() {
    for (amount, half_up, half_even) in [("0.125", 13, 12), ("10.005", 1001, 1000), ("2.675", 268, 268)] {
        assert_eq!(pounds(decimal(amount), Rounding::HalfUp), half_up, "{amount}");
        assert_eq!(pounds(decimal(amount), Rounding::HalfEven), half_even, "{amount}");
    }
}

#[test]
fn e7_minor_digits() {
    for (code, digits) in [("JPY", 0), ("USD", 2), ("EUR", 2), ("GBP", 2), ("KWD", 3)] {
        assert_eq!(Currency::from_str(code).unwrap().minor_digits(), digits);
    }
}

#[test]
fn e8_split_without_loss() {
    let split = |minor, weights: &[u32]| -> Vec<i64> {
        Money::new(minor, Currency::EUR).split(weights).unwrap().into_iter().map(|share| share.minor).collect()
    };
    assert_eq!(split(10_000, &[1, 1, 1]), [3334, 3333, 3333]);
    assert_eq!(split(9_999, &[1, 1, 4]), [1667, 1666, 6666]);
}

#[test]
fn e9_tax_on_the_total_or_per_line() {
    let rate = decimal("0.20");
    let net = Money::new(66_627, Currency::GBP);
    let vat = tax(&[net], rate, TaxRounding::OnTotal, Rounding::HalfUp).unwrap();
    assert_eq!(vat.minor, 13_325);
    assert_eq!(net.checked_add(vat).unwrap().minor, 79_952);
    // three lines of 0.03: on the total 0.018 is 0.02, per line 0.006 is 0.01 three times
    let lines = [Money::new(3, Currency::GBP); 3];
    assert_eq!(tax(&lines, rate, TaxRounding::OnTotal, Rounding::HalfUp).unwrap().minor, 2);
    assert_eq!(tax(&lines, rate, TaxRounding::PerLine, Rounding::HalfUp).unwrap().minor, 3);
}
