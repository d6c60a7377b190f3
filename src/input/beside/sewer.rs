//! Which sewer a point of a file of inlets belongs to, as far as its attributes say it.

/// Fields that usually say it.
pub(super) const FIELDS: [&str; 8] =
    ["type", "system", "class", "kind", "category", "subtype", "network", "sewer_type"];

/// A sewer that no drain may be led to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Foul {
    /// Carries waste water alone.
    Sanitary,
    /// Carries waste water and storm water.
    Combined,
}

/// Whole words, in lower case without accents; common practice, no source.
const COMBINED: [&str; 8] =
    ["combined", "comb", "unitaire", "unitario", "unitaria", "combinado", "combinada", "css"];
const SANITARY: [&str; 12] = [
    "sanitary",
    "san",
    "foul",
    "wastewater",
    "sewage",
    "sanitaire",
    "sanitario",
    "sanitaria",
    "usees",
    "residual",
    "residuales",
    "negras",
];

impl Foul {
    /// What a value of one of the fields says; nothing where it names no such sewer.
    pub(super) fn said_by(value: &str) -> Option<Self> {
        let plain: String = value.to_lowercase().chars().map(without_accent).collect();
        let words = plain.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
        let has = |list: &[&str]| words.clone().any(|word| list.contains(&word));
        if has(&COMBINED) {
            return Some(Self::Combined);
        }
        let waste_water =
            words.clone().any(|word| word == "waste") && words.clone().any(|word| word == "water");
        (has(&SANITARY) || waste_water).then_some(Self::Sanitary)
    }
}

fn without_accent(c: char) -> char {
    match c {
        'á' | 'à' | 'â' => 'a',
        'é' | 'è' | 'ê' => 'e',
        'í' | 'î' => 'i',
        'ó' | 'ô' => 'o',
        'ú' | 'û' => 'u',
        other => other,
    }
}

#[cfg(test)]
mod tests {
    use super::Foul;

    #[test]
    fn words_of_three_languages_name_a_foul_sewer_and_parts_of_words_do_not() {
        for value in ["SAN", "Sewer - Sanitary", "san_mh", "eaux usées", "Égout sanitaire", "aguas negras"]
        {
            assert_eq!(Foul::said_by(value), Some(Foul::Sanitary), "{value}");
        }
        for value in ["Combined", "réseau unitaire", "alcantarillado unitario", "sanitary/combined"] {
            assert_eq!(Foul::said_by(value), Some(Foul::Combined), "{value}");
        }
        for value in ["storm", "Sand trap", "catch basin", "pluvial", "Santa Fe", ""] {
            assert_eq!(Foul::said_by(value), None, "{value}");
        }
    }
}
