//! A number that may be unknown, or may not exist at all.

use std::fmt;
use std::marker::PhantomData;

use serde::de::value::{MapAccessDeserializer, SeqAccessDeserializer};
use serde::de::{self, IntoDeserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

/// A stated value, an unknown one, or one that does not apply.
///
/// Unknown is never equal to anything in a judgement: use [`Value::same`], not `==`, which only compares records.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Value<T> {
    /// Stated by the source.
    Known(T),
    /// Exists, but nobody has stated it.
    Unknown,
    /// Does not exist on this part; equal to itself.
    NotApplicable,
}

impl<T> Value<T> {
    /// The stated value, if there is one.
    pub fn known(&self) -> Option<&T> {
        match self {
            Self::Known(v) => Some(v),
            _ => None,
        }
    }

    /// Whether it exists but is not stated.
    pub fn is_unknown(&self) -> bool {
        matches!(self, Self::Unknown)
    }

    /// Whether two values are the same: `None` when either is unknown.
    pub fn same(&self, other: &Self) -> Option<bool>
    where
        T: PartialEq,
    {
        match (self, other) {
            (Self::Unknown, _) | (_, Self::Unknown) => None,
            (a, b) => Some(a == b),
        }
    }
}

impl<T: fmt::Display> fmt::Display for Value<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Known(v) => v.fmt(f),
            Self::Unknown => f.pad("not known"),
            Self::NotApplicable => f.pad("does not apply"),
        }
    }
}

const NOT_APPLICABLE: &str = "n/a";

/// Binary form: JSON has null for unknown, rows need a tag.
#[derive(Serialize, Deserialize)]
enum Tagged<T> {
    Known(T),
    Unknown,
    NotApplicable,
}

impl<T: Serialize> Serialize for Value<T> {
    fn serialize<S: Serializer>(&self, s: S) -> Result<S::Ok, S::Error> {
        if !s.is_human_readable() {
            return match self {
                Self::Known(v) => Tagged::Known(v).serialize(s),
                Self::Unknown => Tagged::<&T>::Unknown.serialize(s),
                Self::NotApplicable => Tagged::<&T>::NotApplicable.serialize(s),
            };
        }
        match self {
            Self::Known(v) => v.serialize(s),
            Self::Unknown => s.serialize_unit(),
            Self::NotApplicable => s.serialize_str(NOT_APPLICABLE),
        }
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Value<T> {
    fn deserialize<D: Deserializer<'de>>(d: D) -> Result<Self, D::Error> {
        if d.is_human_readable() {
            return d.deserialize_any(Plain(PhantomData));
        }
        Ok(match Tagged::deserialize(d)? {
            Tagged::Known(v) => Self::Known(v),
            Tagged::Unknown => Self::Unknown,
            Tagged::NotApplicable => Self::NotApplicable,
        })
    }
}

struct Plain<T>(PhantomData<T>);

impl<'de, T: Deserialize<'de>> Visitor<'de> for Plain<T> {
    type Value = Value<T>;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value, null for unknown, or 'n/a'")
    }

    fn visit_unit<E: de::Error>(self) -> Result<Value<T>, E> {
        Ok(Value::Unknown)
    }

    fn visit_bool<E: de::Error>(self, v: bool) -> Result<Value<T>, E> {
        T::deserialize(v.into_deserializer()).map(Value::Known)
    }

    fn visit_i64<E: de::Error>(self, v: i64) -> Result<Value<T>, E> {
        T::deserialize(v.into_deserializer()).map(Value::Known)
    }

    fn visit_u64<E: de::Error>(self, v: u64) -> Result<Value<T>, E> {
        T::deserialize(v.into_deserializer()).map(Value::Known)
    }

    fn visit_str<E: de::Error>(self, v: &str) -> Result<Value<T>, E> {
        if v == NOT_APPLICABLE {
            return Ok(Value::NotApplicable);
        }
        T::deserialize(v.into_deserializer()).map(Value::Known)
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Value<T>, A::Error> {
        T::deserialize(MapAccessDeserializer::new(map)).map(Value::Known)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, seq: A) -> Result<Value<T>, A::Error> {
        T::deserialize(SeqAccessDeserializer::new(seq)).map(Value::Known)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn unknown_is_never_the_same_as_anything() {
        let three = Value::Known(3);
        assert_eq!(three.same(&Value::Known(3)), Some(true));
        assert_eq!(three.same(&Value::Known(4)), Some(false));
        assert_eq!(three.same(&Value::NotApplicable), Some(false));
        assert_eq!(Value::<i32>::NotApplicable.same(&Value::NotApplicable), Some(true));
        assert_eq!(Value::<i32>::Unknown.same(&Value::Unknown), None);
        assert_eq!(three.same(&Value::Unknown), None);
    }

    #[test]
    fn json_says_null_for_unknown() {
        let all = [Value::Known(Length::from_base(4100)), Value::Unknown, Value::NotApplicable];
        let text = serde_json::to_string(&all).unwrap();
        assert_eq!(text, r#"[4100,null,"n/a"]"#);
        assert_eq!(serde_json::from_str::<[Value<Length>; 3]>(&text).unwrap(), all);
    }
}
