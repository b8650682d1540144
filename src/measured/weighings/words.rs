//! Words that people write into weighing notes, in a few languages.

/// What a word is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Topic {
    Dry,
    Start,
    IntoBox,
    Lid,
    Repeat,
    Resolution,
    Elapsed,
    Mass,
    Time,
    Sample,
    Used,
    Vessel,
}

/// English, German, French, Spanish; stems, so that endings do not matter. Common words, from
/// dictionaries.
const STEMS: &[(Topic, &[&str])] = &[
    (Topic::Dry, &["dry", "tare", "tara", "trocken", "leer", "sec", "sèche", "seco", "seca"]),
    (
        Topic::Start,
        &[
            "start", "wet", "soaked", "nass", "feucht", "beginn", "mouillé", "humide", "début",
            "mojad", "húmed", "inicio", "syringe", "spritze", "added",
        ],
    ),
    (Topic::IntoBox, &["box", "kiste", "kasten", "boîte", "caja", "oven", "ofen"]),
    (Topic::Lid, &["lid", "deckel", "couvercle", "tapa", "door", "tür"]),
    (
        Topic::Repeat,
        &[
            "repeat",
            "repeated",
            "again",
            "check",
            "wiederhol",
            "kontroll",
            "répét",
            "repet",
            "times",
        ],
    ),
    (
        Topic::Resolution,
        &["reads", "resolution", "division", "auflösung", "schritt", "résolution", "resolución"],
    ),
    (Topic::Elapsed, &["after", "nach", "après", "después", "elapsed"]),
    (Topic::Mass, &["mass", "weight", "weigh", "gewicht", "masse", "peso", "poids", "masa"]),
    (
        Topic::Time,
        &["time", "date", "zeit", "uhr", "datum", "heure", "temps", "hora", "fecha", "elapsed"],
    ),
    (
        Topic::Used,
        &[
            "used",
            "consumed",
            "consumption",
            "total",
            "verbrauch",
            "consomm",
            "consumid",
            "consumo",
        ],
    ),
    (
        Topic::Vessel,
        &[
            "tray",
            "dish",
            "bowl",
            "plate",
            "container",
            "schale",
            "teller",
            "tablett",
            "coupelle",
            "plateau",
            "bandeja",
        ],
    ),
    (
        Topic::Sample,
        &[
            "sample",
            "probe",
            "treatment",
            "replicate",
            "specimen",
            "group",
            "muestra",
            "échantillon",
        ],
    ),
];

/// Whether one of the words of a line is about a topic.
pub(super) fn about<'a>(topic: Topic, mut words: impl Iterator<Item = &'a str>) -> bool {
    let stems = STEMS.iter().find(|(t, _)| *t == topic).map_or(&[][..], |(_, s)| *s);
    // Short stems must be the whole word: "sec" is also in "seconds".
    words.any(|w| stems.iter().any(|s| w == *s || (s.chars().count() > 3 && w.starts_with(s))))
}

/// Kilograms per unit of a mass.
pub(super) fn mass_unit(word: &str) -> Option<f64> {
    Some(match word {
        "g" | "gr" | "gram" | "grams" | "gramm" | "gramme" | "grammes" | "gramo" | "gramos" => 1e-3,
        "kg" => 1.0,
        "mg" => 1e-6,
        // avoirdupois ounce, exact by definition
        "oz" | "ounce" | "ounces" => 0.028_349_523_125,
        _ => return None,
    })
}

/// Seconds per unit of a time span.
pub(super) fn time_unit(word: &str) -> Option<f64> {
    Some(match word {
        "s" | "sec" | "secs" | "second" | "seconds" | "sek" => 1.0,
        "min" | "mins" | "minute" | "minutes" | "minuten" | "minutos" => 60.0,
        "h" | "hr" | "hrs" | "hour" | "hours" | "std" | "stunden" | "heures" | "horas" => 3600.0,
        "d" | "day" | "days" | "tage" | "jours" | "días" => 86_400.0,
        _ => return None,
    })
}

/// Joules per unit of an energy.
pub(super) fn energy_unit(word: &str) -> Option<f64> {
    Some(match word {
        "kwh" => 3.6e6,
        "wh" => 3600.0,
        _ => return None,
    })
}

/// Whether a word is a unit of volume.
pub(super) fn is_volume(word: &str) -> bool {
    matches!(word, "ml" | "cl" | "l" | "cc")
}
