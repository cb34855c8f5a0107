//! The tables of the recipe language, declared once; their keys stand in [`super::parameters`].

/// A table of the language.
#[derive(Debug)]
pub struct Table {
    /// Dotted path.
    pub path: &'static str,
    /// What the block does, in one sentence.
    pub help: &'static str,
}

/// A table that stands as often as one likes, `[[path]]` each; what it describes is told apart by its name.
#[derive(Debug)]
pub struct List {
    /// Dotted path of the table.
    pub path: &'static str,
    /// What many of them are called.
    pub noun: &'static str,
    /// The most of a recipe.
    pub most: usize,
    /// What to do about too many.
    pub fewer: &'static str,
    /// What each needs.
    pub needs: &'static str,
}

/// The tables that are lists. A hue band costs time at every node, and no look needs as many as its limit; an exposure map of
/// more zones than its limit can't be told apart at a glance, nor held by a table. Both limits are this project's own.
pub static LISTS: &[List] = &[
    List {
        path: "colour.band",
        noun: "hue bands",
        most: 64,
        fewer: "join bands that lie beside each other",
        needs: "a band needs the hue of its centre and its half-width, both in degrees",
    },
    List {
        path: "map.band",
        noun: "bands of the exposure map",
        most: 16,
        fewer: "join bands that lie beside each other",
        needs: "a band of the exposure map needs a name and the stops where it begins and ends",
    },
];

/// All tables, in the order of the pipeline.
pub static TABLES: &[Table] = &[
    Table { path: "look", help: "What the look is called and where it starts from." },
    Table { path: "camera", help: "What the signal is: the camera's log curve and colour gamut." },
    Table { path: "trim", help: "Brings this camera to another: stops, a 3×3 matrix and root-polynomial terms." },
    Table { path: "exposure", help: "Moves the exposure of the whole picture." },
    Table {
        path: "diffusion",
        help: "What a diffusion filter does to one pixel: a veil, and highlights that give away light and colour. The halo is not in a LUT.",
    },
    Table {
        path: "white",
        help: "The cast: warmer or cooler along the Planckian locus, greener or more magenta across it.",
    },
    Table {
        path: "grade",
        help: "An ASC CDL in ACEScct, written here or taken from a file of post. One that was made in another space is another look.",
    },
    Table { path: "split", help: "One tint for the shadows and one for the highlights." },
    Table { path: "split.shadows", help: "The tint of the shadows." },
    Table { path: "split.highlights", help: "The tint of the highlights." },
    Table {
        path: "tone",
        help: "The characteristic curve from scene light to display light. Without this table the conversion is technical: display light is scene light.",
    },
    Table { path: "colour", help: "Saturation and hue bands, in Oklab, on the display side." },
    Table {
        path: "colour.band",
        help: "A hue band, one `[[colour.band]]` each: what happens to the colours around one hue.",
    },
    Table { path: "gamut", help: "How colours outside the working and the display gamut are brought in." },
    Table { path: "display", help: "The display that the picture is for." },
    Table {
        path: "after",
        help: "A cube file from post, laid over the finished display signal: the look's own signal in, another signal of the same display out.",
    },
    Table { path: "lut", help: "Facts of the device that applies the LUT." },
    Table { path: "verify", help: "Tolerances that the written file is held to." },
    Table {
        path: "map",
        help: "The exposure map that `lookwright false-colour` makes for the same camera and monitor. It is no part of the look and changes no LUT of it.",
    },
    Table {
        path: "map.band",
        help: "A band of the exposure map, one `[[map.band]]` each; without any: shadow -4..-2, grey -0.2..0.2, skin 0.7..1.3, highlight 3..5 (common practice, no source). Noise floor and clip are always there.",
    },
];

/// The declaration of a table.
#[must_use]
pub fn find_table(path: &str) -> Option<&'static Table> {
    TABLES.iter().find(|table| table.path == path)
}

/// The declaration of a list of tables.
#[must_use]
pub fn find_list(path: &str) -> Option<&'static List> {
    LISTS.iter().find(|list| list.path == path)
}
