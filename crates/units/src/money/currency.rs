//! Currencies by ISO 4217 code, with their minor digits (from memory of the standard; handbook E7).

use super::MoneyError;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;

macro_rules! currencies {
    ($($code:ident $digits:literal $name:literal),+ $(,)?) => {
        /// A currency by its ISO 4217 code.
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, JsonSchema)]
        #[non_exhaustive]
        pub enum Currency { $(#[doc = $name] $code),+ }

        impl Currency {
            /// Every known currency, in the order of its code.
            pub const ALL: &'static [Self] = &[$(Self::$code),+];

            /// ISO 4217 code.
            pub const fn code(self) -> &'static str {
                match self { $(Self::$code => stringify!($code)),+ }
            }

            /// Digits after the point: 2 for most, 0 for JPY, 3 for KWD.
            pub const fn minor_digits(self) -> u32 {
                match self { $(Self::$code => $digits),+ }
            }

            /// Name in English.
            pub const fn name(self) -> &'static str {
                match self { $(Self::$code => $name),+ }
            }
        }
    };
}

currencies! {
    AED 2 "United Arab Emirates dirham", ARS 2 "Argentine peso", AUD 2 "Australian dollar", BGN 2 "Bulgarian lev",
    BHD 3 "Bahraini dinar", BRL 2 "Brazilian real", CAD 2 "Canadian dollar", CHF 2 "Swiss franc", CLP 0 "Chilean peso",
    CNY 2 "Chinese yuan", COP 2 "Colombian peso", CZK 2 "Czech koruna", DKK 2 "Danish krone", EGP 2 "Egyptian pound",
    EUR 2 "Euro", GBP 2 "Pound sterling", HKD 2 "Hong Kong dollar", HUF 2 "Hungarian forint", IDR 2 "Indonesian rupiah",
    ILS 2 "Israeli new shekel", INR 2 "Indian rupee", ISK 0 "Icelandic króna", JOD 3 "Jordanian dinar",
    JPY 0 "Japanese yen", KES 2 "Kenyan shilling", KRW 0 "South Korean won", KWD 3 "Kuwaiti dinar",
    MAD 2 "Moroccan dirham", MXN 2 "Mexican peso", MYR 2 "Malaysian ringgit", NOK 2 "Norwegian krone",
    NZD 2 "New Zealand dollar", OMR 3 "Omani rial", PEN 2 "Peruvian sol", PHP 2 "Philippine peso",
    PLN 2 "Polish złoty", RON 2 "Romanian leu", RSD 2 "Serbian dinar", SAR 2 "Saudi riyal", SEK 2 "Swedish krona",
    SGD 2 "Singapore dollar", THB 2 "Thai baht", TND 3 "Tunisian dinar", TRY 2 "Turkish lira",
    TWD 2 "New Taiwan dollar", UAH 2 "Ukrainian hryvnia", USD 2 "United States dollar", VND 0 "Vietnamese dong",
    ZAR 2 "South African rand",
}

impl fmt::Display for Currency {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.code())
    }
}

impl FromStr for Currency {
    type Err = MoneyError;
    fn from_str(text: &str) -> Result<Self, MoneyError> {
        let code = text.trim();
        Self::ALL
            .iter()
            .copied()
            .find(|currency| currency.code().eq_ignore_ascii_case(code))
            .ok_or_else(|| MoneyError::UnknownCurrency { read: crate::error::quoted(code) })
    }
}
