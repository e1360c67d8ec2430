//! How a serial line is set.

use serde::{Deserialize, Serialize};

/// The parity bit of a serial line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Parity {
    /// There is none.
    #[default]
    None,
    /// It makes the number of ones even.
    Even,
    /// It makes the number of ones odd.
    Odd,
}

/// What ends a line.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum LineEnd {
    /// Carriage return, line feed, or both.
    #[default]
    Mark,
    /// Nothing comes for a while: for instruments that send no end of a line.
    Idle,
}

/// How a serial line is set. Both ends must agree; the instrument's manual says how it sends.
#[derive(Clone, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct SerialSettings {
    /// Bits per second.
    pub baud: u32,
    /// 7 or 8.
    pub data_bits: u8,
    /// The parity bit.
    pub parity: Parity,
    /// 1 or 2.
    pub stop_bits: u8,
    /// What ends a line.
    #[serde(default)]
    pub end: LineEnd,
    /// What asks the instrument for its value, without the carriage return that is sent behind it;
    /// empty where it sends by itself.
    #[serde(default)]
    pub request: String,
}

impl Default for SerialSettings {
    /// 9600 8N1, lines ended by a mark, nothing asked.
    fn default() -> Self {
        Self {
            baud: 9600,
            data_bits: 8,
            parity: Parity::None,
            stop_bits: 1,
            end: LineEnd::Mark,
            request: String::new(),
        }
    }
}

impl SerialSettings {
    /// Rates that instruments use, bits per second.
    pub const RATES: [u32; 9] = [300, 600, 1200, 2400, 4800, 9600, 19_200, 38_400, 115_200];

    /// The usual short form: `9600 8N1`.
    #[must_use]
    pub fn short(&self) -> String {
        let parity = match self.parity {
            Parity::None => 'N',
            Parity::Even => 'E',
            Parity::Odd => 'O',
        };
        format!("{} {}{parity}{}", self.baud, self.data_bits, self.stop_bits)
    }

    /// Reads the short form: `4800 7E2`, also `9600,8,n,1`. `None` if it is not one.
    #[must_use]
    pub fn from_short(text: &str) -> Option<Self> {
        let parts: Vec<char> = text.chars().filter(|c| c.is_ascii_alphanumeric()).collect();
        let (rate, frame) = parts.split_at_checked(parts.len().checked_sub(3)?)?;
        let baud = rate.iter().collect::<String>().parse().ok()?;
        let (data_bits, stop_bits) = (digit(frame[0])?, digit(frame[2])?);
        let parity = match frame[1].to_ascii_uppercase() {
            'N' => Parity::None,
            'E' => Parity::Even,
            'O' => Parity::Odd,
            _ => return None,
        };
        let known =
            Self::RATES.contains(&baud) && matches!(data_bits, 7 | 8) && matches!(stop_bits, 1 | 2);
        known.then(|| Self { baud, data_bits, parity, stop_bits, ..Self::default() })
    }
}

fn digit(c: char) -> Option<u8> {
    c.to_digit(10).and_then(|d| u8::try_from(d).ok())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_short_form_is_read_as_it_is_written() {
        assert_eq!(SerialSettings::default().short(), "9600 8N1");
        for text in ["9600 8N1", "4800 7E1", "4800 7E2", "19200 8O1"] {
            assert_eq!(SerialSettings::from_short(text).unwrap().short(), text);
        }
        assert_eq!(SerialSettings::from_short("4800,7,e,2").unwrap().short(), "4800 7E2");
        for text in ["", "8N1", "9601 8N1", "9600 9N1", "9600 8X1", "9600 8N3", "fast"] {
            assert_eq!(SerialSettings::from_short(text), None, "{text}");
        }
    }
}
