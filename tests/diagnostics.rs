//! Every diagnostic about a recipe, raised by a small text and held to its exact words.
//!
//! A case shows the recipe and everything that is said of it, one line each: severity, code, file, line and column, the
//! message, the words under the mark, the remedies. The words are the interface: changing one here is a decision.

mod common;

use common::told;
use lookwright::compile::{distinct_files, prepare};
use lookwright::diagnostics::{Diagnostic, codes};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

struct Case {
    name: &'static str,
    text: Text,
    /// As after `--set`.
    overrides: &'static [&'static str],
    said: &'static [&'static str],
}

/// What `look.toml` holds.
enum Text {
    /// The whole of it.
    Whole(&'static str),
    /// What follows on [`HEAD`].
    AfterHead(&'static str),
}

use Text::{AfterHead, Whole};

/// The least that a recipe must say: six lines.
const HEAD: &str = "lookwright = 1
[look]
name = \"Quayside\"
[camera]
encoding = \"s-log3\"
gamut = \"s-gamut3.cine\"
";

/// Everything that is said of a recipe up to its table.
fn judged(path: &Path, overrides: &[String]) -> Vec<Diagnostic> {
    match prepare(path, overrides) {
        Ok(prepared) => {
            let mut found = prepared.warnings.clone();
            found.extend(prepared.sample().err().unwrap_or_default());
            found
        }
        Err(found) => found,
    }
}

/// What is said of some files, the first of which is compiled.
fn said(files: &[(&str, &[u8])], overrides: &[&str]) -> Vec<String> {
    let folder = tempfile::tempdir().expect("a temporary folder");
    for (name, bytes) in files {
        fs::write(folder.path().join(name), bytes).expect("the folder can be written");
    }
    let overrides: Vec<String> = overrides.iter().map(|text| (*text).to_owned()).collect();
    let path = folder.path().join(files[0].0);
    judged(&path, &overrides).iter().map(|one| told(one, folder.path())).collect()
}

#[test]
fn each_recipe_is_told_what_is_wrong_in_exact_words() {
    let mut wrong = Vec::new();
    for case in CASES {
        let text = match case.text {
            Whole(text) => text.to_owned(),
            AfterHead(text) => format!("{HEAD}{text}"),
        };
        let found = said(&[("look.toml", text.as_bytes())], case.overrides);
        if found != case.said {
            let expected = case.said.join("\n    ");
            wrong.push(format!("{}\n  expected:\n    {expected}\n  found:\n    {}", case.name, found.join("\n    ")));
        }
    }
    assert!(wrong.is_empty(), "{} of {} cases:\n{}", wrong.len(), CASES.len(), wrong.join("\n"));
}

#[test]
fn a_file_that_is_no_text_is_refused() {
    let found = said(&[("look.toml", b"lookwright = 1\n# caf\xe9\n".as_slice())], &[]);
    let expected = "error LW0115: look.toml: not UTF-8 text, first in line 2 | help: save the recipe as UTF-8, or name \
                    another file";
    assert_eq!(found, [expected]);
}

#[test]
fn a_circle_of_two_recipes_is_told_where_it_closes() {
    let look = HEAD.replace("[camera]", "extends = \"base.toml\"\n[camera]");
    let base = "lookwright = 1\n[look]\nextends = \"look.toml\"\n";
    let found = said(&[("look.toml", look.as_bytes()), ("base.toml", base.as_bytes())], &[]);
    let expected = "error LW0114 base.toml:3:11: recipes extend each other in a circle | look.toml was read already | \
                    help: remove one of the `extends`";
    assert_eq!(found, [expected]);
}

#[test]
fn a_base_that_is_not_there_is_told_where_it_is_named() {
    let look = HEAD.replace("[camera]", "extends = \"base.toml\"\n[camera]");
    let system = fs::metadata("no-such-file").expect_err("the file does not exist");
    let expected = format!(
        "error LW0113 look.toml:4:11: the recipe to start from can't be read | base.toml: {system} | help: the path is \
         relative to the file that names it"
    );
    assert_eq!(said(&[("look.toml", look.as_bytes())], &[]), [expected]);
}

#[test]
fn an_empty_list_of_bands_takes_away_those_of_the_base() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let base = "lookwright = 1\n[[colour.band]]\nname = \"sea\"\ncentre_deg = 230\nwidth_deg = 40\n";
    fs::write(folder.path().join("base.toml"), base).expect("the folder can be written");
    for (more, bands) in [("", 1), ("[colour]\nband = []\n", 0)] {
        let look = HEAD.replace("[camera]", "extends = \"base.toml\"\n[camera]");
        let path = folder.path().join("look.toml");
        fs::write(&path, format!("{look}{more}")).expect("the folder can be written");
        let prepared = prepare(&path, &[]).expect("both are recipes");
        assert_eq!(prepared.plan.colour.bands.len(), bands, "with {more:?}");
    }
}

#[test]
fn bands_without_end_are_refused_and_quickly() {
    let text: String =
        (0..20_000).map(|n| format!("[[colour.band]]\nname = \"{n}\"\ncentre_deg = 1\nwidth_deg = 2\n")).collect();
    let found = said(&[("look.toml", format!("{HEAD}{text}").as_bytes())], &[]);
    assert_eq!(found.len(), 1, "{found:?}");
    assert!(found[0].contains("20000 hue bands are too many | expected at most 64"), "{found:?}");
}

#[test]
fn a_device_is_read_no_further_than_a_recipe_is_long() {
    if Path::new("/dev/zero").exists() {
        let found = judged(Path::new("/dev/zero"), &[]);
        assert_eq!(found.len(), 1);
        assert_eq!(found[0].code, &codes::NOT_TEXT, "{}", found[0].message);
    }
}

/// What is wrong in a base is told with the base's own place.
#[test]
fn a_fault_of_the_base_has_the_place_in_the_base() {
    let look = HEAD.replace("[camera]", "extends = \"base.toml\"\n[camera]");
    let base = "lookwright = 1\n[exposure]\nstops = 11\n";
    let found = said(&[("look.toml", look.as_bytes()), ("base.toml", base.as_bytes())], &[]);
    let expected = "error LW0104 base.toml:3:9: `exposure.stops` is out of range | expected -10 to 10 stops, found 11 | \
                    help: Exposure offset; positive is brighter";
    assert_eq!(found, [expected]);
}

#[test]
fn two_recipes_of_one_name_are_told_apart_before_anything_is_written() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let prepared: Vec<_> = ["a.toml", "b.toml"]
        .iter()
        .map(|name| {
            let path = folder.path().join(name);
            fs::write(&path, HEAD).expect("the folder can be written");
            prepare(&path, &[]).expect("the head is a recipe")
        })
        .collect();
    let found = distinct_files(&prepared).expect_err("both would write quayside.cube");
    let found: Vec<String> = found.iter().map(|one| told(one, folder.path())).collect();
    let expected = "error LW0218 b.toml:3:8: two recipes would write quayside.cube | a.toml writes it already | help: \
                    give one of the two looks another name";
    assert_eq!(found, [expected]);
}

/// Codes that are raised by the tests above that have more than one file, or no text, by `tests/exposure_map`, which has a map,
/// and by `tests/cdl`, which has files of post.
const ELSEWHERE: [&str; 11] =
    ["LW0113", "LW0115", "LW0218", "LW0222", "LW0223", "LW0224", "LW0225", "LW0226", "LW0227", "LW0228", "LW0229"];

#[test]
fn every_code_about_recipes_is_raised_here() {
    let raised: BTreeSet<&str> = CASES
        .iter()
        .flat_map(|case| case.said)
        .filter_map(|said| said.split([' ', ':']).nth(1))
        .chain(ELSEWHERE)
        .collect();
    let mut about_recipes = 0;
    for code in codes::ALL.iter().filter(|code| code.id.starts_with("LW01") || code.id.starts_with("LW02")) {
        assert!(raised.contains(code.id), "{}, {}, is raised by no case", code.id, code.title);
        about_recipes += 1;
    }
    assert!(about_recipes >= 33, "only {about_recipes} codes were found");
}

#[rustfmt::skip]
static CASES: &[Case] = &[
    Case {
        name: "steps of what can't be stepped",
        text: AfterHead("[white]\ngreener_duv = 0.002\n[tone]\n"),
        overrides: &["white.greener_cc=+2", "adaptation=+1", "white.warmer_mired=+five", "tone.contrast-=0.05"],
        said: &[
            "error LW0116 --set:1:1: the recipe says `greener_duv = 0.002`, not `greener_cc` | expected the key that the recipe uses | help: change `white.greener_duv` in steps, or give `white.greener_cc` a value without a plus sign",
            "error LW0116 --set:1:1: `adaptation` is not changed in steps | expected the key of a number | help: a step is `key=+NUMBER`, `key+=NUMBER` or `key-=NUMBER`",
            "error LW0116 --set:1:1: `five` is no number | expected a number to add or to take off | help: a step is `key=+NUMBER`, `key+=NUMBER` or `key-=NUMBER`",
        ],
    },
    Case {
        name: "everything at once: what is missing, what can't be and what is impossible",
        text: Whole(
            "lookwright = 1\n[look]\nname = \"…\"\n[camera]\nencoding = \"logc3\"\ngamut = \"awg3\"\n[diffusion]\nloss_stops = 1\nsoftness_stops = 0.5\n[tone]\nstraight_up = 9\n",
        ),
        overrides: &[],
        said: &[
            "error LW0201 look.toml:4:2: LogC3 depends on the exposure index, which is missing | expected `exposure_index`, one of 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1280, 1600 | help: take the index that the camera is set to; for one between, the nearest below",
            "error LW0104 look.toml:8:14: a highlight would lose more light than it gains: the picture would turn over | expected `loss_stops` 0 to `softness_stops`, found 1 of 0.5 | help: raise `softness_stops` or lower `loss_stops`",
            "error LW0210 look.toml:11:15: the straight line is longer than the way to white | white is reached 5.99 stops from grey, the straight line takes 9.00 | help: keep `tone.straight_up` below 5.99, or raise `tone.white_stops`",
            "error LW0216 look.toml:3:8: the look's name makes no file name | expected a letter or digit, found \"…\" | help: give the look a name with at least one letter or digit",
        ],
    },
    Case {
        name: "a wrong gamut of the display does not hide the missing one of the camera",
        text: Whole(
            "lookwright = 1\n[look]\nname = \"x\"\n[camera]\nencoding = \"s-log3\"\n[display]\ngamut = \"bt7009\"\n",
        ),
        overrides: &[],
        said: &[
            "error LW0106 look.toml:7:9: unknown display gamut \"bt7009\" | expected bt709 or srgb or p3-d65 or p3-dci or bt2020 or display-p3, found \"bt7009\" | help: did you mean \"bt709\"?",
            "error LW0108 look.toml:4:2: `camera.gamut` is missing | expected `gamut` in [camera] | help: for example: gamut = \"s-gamut3.cine\"",
        ],
    },
    Case {
        name: "a quoted key with a dot is a key of its own",
        text: Whole(
            "lookwright = 1\n\"white.warmer_mired\" = 24\n[look]\nname = \"x\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n",
        ),
        overrides: &[],
        said: &[
            "error LW0102 look.toml:2:1: unknown key `white.warmer_mired` at the top level | not a key at the top level | help: known here: lookwright, adaptation, look, camera, trim, exposure, diffusion, white, grade, split, tone, colour, gamut, display, after, lut, verify, map",
        ],
    },
    Case {
        name: "a grade of diffusion from a shell, whose quotes are gone",
        text: AfterHead(""),
        overrides: &["diffusion.grade=1"],
        said: &[],
    },
    Case {
        name: "a band that the recipe does not have",
        text: AfterHead("[[colour.band]]\nname = \"sea\"\ncentre_deg = 230\nwidth_deg = 40\n"),
        overrides: &["colour.band.see.saturation=0.8"],
        said: &[
            "error LW0106 --set:1:13: the recipe has no band called \"see\" | expected the name of a band of the recipe | help: did you mean \"sea\"?",
        ],
    },
    Case {
        name: "a band's name from outside",
        text: AfterHead("[[colour.band]]\nname = \"sea\"\ncentre_deg = 230\nwidth_deg = 40\n"),
        overrides: &["colour.band.sea.name=\"sky\""],
        said: &[
            "error LW0102 --set:1:13: a band's name can't be set from outside | expected another key of the band | help: bands are told apart by their names; rename it in the recipe",
        ],
    },
    Case {
        name: "a header that is not closed",
        text: AfterHead("[tone\ncontrast = 1.2\n"),
        overrides: &[],
        said: &["error LW0101 look.toml:7:6: unclosed table, expected `]` | help: a line is a [table], or a key = value; text stands in double quotes"],
    },
    Case {
        name: "a key without a value",
        text: AfterHead("[tone]\ncontrast =\n"),
        overrides: &[],
        said: &["error LW0101 look.toml:8:11: string values must be quoted, expected literal string | help: a line is a [table], or a key = value; text stands in double quotes"],
    },
    Case {
        name: "a key twice",
        text: AfterHead("[tone]\ncontrast = 1.2\ncontrast = 1.3\n"),
        overrides: &[],
        said: &["error LW0101 look.toml:9:1: duplicate key | help: keep one of the two"],
    },
    Case {
        name: "a key that is nearly right",
        text: AfterHead("[tone]\ncontrsat = 1.2\n"),
        overrides: &[],
        said: &["error LW0102 look.toml:8:1: unknown key `contrsat` in [tone] | not a key in [tone] | help: did you mean `contrast`?"],
    },
    Case {
        name: "a key of another table",
        text: AfterHead("[white]\nhue_hold = 0.5\n"),
        overrides: &[],
        said: &["error LW0102 look.toml:8:1: unknown key `hue_hold` in [white] | not a key in [white] | help: `hue_hold` stands in [tone]"],
    },
    Case {
        name: "a key that nothing resembles",
        text: AfterHead("[exposure]\nzebra = 70\n"),
        overrides: &[],
        said: &["error LW0102 look.toml:8:1: unknown key `zebra` in [exposure] | not a key in [exposure] | help: known here: stops"],
    },
    Case {
        name: "an unknown table",
        text: AfterHead("[tones]\n"),
        overrides: &[],
        said: &["error LW0102 look.toml:7:2: unknown key `tones` at the top level | not a key at the top level | help: did you mean `tone`?"],
    },
    Case {
        name: "a base from outside",
        text: AfterHead(""),
        overrides: &["look.extends=\"base.toml\""],
        said: &["error LW0102 --set:1:14: `look.extends` can't be set from outside | expected another key | help: write it into a recipe"],
    },
    Case {
        name: "a number in quotes",
        text: AfterHead("[tone]\ncontrast = \"1.35\"\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:8:12: `tone.contrast` has the wrong type | expected a number, found the text \"1.35\" | help: remove the quotes"],
    },
    Case {
        name: "a number for a flag",
        text: AfterHead("[gamut]\ninput_compress = 1\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:8:18: `gamut.input_compress` has the wrong type | expected true or false, found the whole number 1 | help: for example: input_compress = true"],
    },
    Case {
        name: "a value for a table",
        text: Whole("lookwright = 1\ntone = 1.35\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:2:8: `tone` is a table, not a value | expected a table, found the number 1.35 | help: write `[tone]` on its own line, and its keys below"],
    },
    Case {
        name: "two numbers for three",
        text: AfterHead("[grade]\nslope = [1.0, 1.1]\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:8:9: `grade.slope` needs one number for red, green and blue each | expected three numbers, found 2 | help: for example: slope = [1.0, 1.0, 1.0]"],
    },
    Case {
        name: "a single bracket for a list of bands",
        text: AfterHead("[colour.band]\nname = \"sea\"\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:7:9: `colour.band` is a list of tables | expected [[colour.band]], found [colour.band] | help: write `[[colour.band]]`, with two brackets, once for each band"],
    },
    Case {
        name: "a number out of range",
        text: AfterHead("[tone]\ncontrast = 9\n"),
        overrides: &[],
        said: &["error LW0104 look.toml:8:12: `tone.contrast` is out of range | expected 0.3 to 4 display stops per scene stop, found 9 | help: Slope of the straight line"],
    },
    Case {
        name: "a range that ends at another key",
        text: AfterHead("[tone]\nwhite_slope = 2\n"),
        overrides: &[],
        said: &["error LW0104 look.toml:8:15: `tone.white_slope` is out of range | expected 0 to `contrast` = 1.35, found 2 | help: Slope left where white is reached; 0 is flat"],
    },
    Case {
        name: "a highlight that turns over",
        text: AfterHead("[diffusion]\ngrade = \"1/4\"\nloss_stops = 3\n"),
        overrides: &[],
        said: &["error LW0104 look.toml:9:14: a highlight would lose more light than it gains: the picture would turn over | expected `loss_stops` 0 to `softness_stops`, found 3 of 2 | help: raise `softness_stops` or lower `loss_stops`"],
    },
    Case {
        name: "grey brighter than half of the display",
        text: AfterHead("[tone]\ngrey_nits = 80\n"),
        overrides: &[],
        said: &["error LW0104 look.toml:8:13: grey at 80 nits is out of range for a display of 100 nits | expected 0.05 to 50 nits, found 80 | help: check `display.peak_nits` too"],
    },
    Case {
        name: "an override out of range",
        text: AfterHead(""),
        overrides: &["lut.size=1"],
        said: &["error LW0104 --set:1:10: `lut.size` is out of range | expected 2 to 129 points, found 1 | help: Points a side"],
    },
    Case {
        name: "not a number",
        text: AfterHead("[exposure]\nstops = nan\n"),
        overrides: &[],
        said: &["error LW0105 look.toml:8:9: `exposure.stops` is not a finite number | expected a finite number, found nan | help: Exposure offset; positive is brighter"],
    },
    Case {
        name: "infinite",
        text: AfterHead("[grade]\noffset = [0.0, inf, 0.0]\n"),
        overrides: &[],
        said: &["error LW0105 look.toml:8:16: `grade.offset` is not a finite number | expected a finite number, found inf | help: Offset for red, green and blue"],
    },
    Case {
        name: "an encoding that is nearly right",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"S-Lgo3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["error LW0106 look.toml:5:12: unknown camera encoding \"S-Lgo3\" | expected a known camera encoding, found \"S-Lgo3\" | help: did you mean \"s-log3\"? | help: `lookwright encodings` lists them all"],
    },
    Case {
        name: "an unknown choice",
        text: AfterHead("[lut]\ninterpolation = \"cubic\"\n"),
        overrides: &[],
        said: &["error LW0106 look.toml:8:17: unknown interpolation \"cubic\" | expected tetrahedral or trilinear, found \"cubic\""],
    },
    Case {
        name: "two units of green",
        text: AfterHead("[white]\ngreener_cc = 3\ngreener_duv = 0.002\n"),
        overrides: &[],
        said: &["error LW0107 look.toml:9:15: `greener_duv` and `greener_cc` exclude each other in [white] | expected one of the two, found `greener_cc` in line 8 already | help: remove `greener_duv` or `greener_cc`"],
    },
    Case {
        name: "no gamut",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"s-log3\"\n"),
        overrides: &[],
        said: &["error LW0108 look.toml:4:2: `camera.gamut` is missing | expected `gamut` in [camera] | help: for example: gamut = \"s-gamut3.cine\""],
    },
    Case {
        name: "no version",
        text: Whole("[look]\nname = \"Quayside\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["error LW0108 look.toml:1:1: the version of the recipe language is missing | expected lookwright = 1 | help: write `lookwright = 1` first"],
    },
    Case {
        name: "no peak for PQ",
        text: AfterHead("[display]\nencoding = \"pq\"\ngamut = \"bt2020\"\n"),
        overrides: &[],
        said: &["error LW0108 look.toml:8:12: `display.peak_nits` is required for pq | PQ needs the luminance of display white | help: for example: peak_nits = 1000"],
    },
    Case {
        name: "a band without a place",
        text: AfterHead("[[colour.band]]\nname = \"sea\"\n"),
        overrides: &[],
        said: &["error LW0108 look.toml:7:1: the band \"sea\" has no `centre_deg` | expected `centre_deg` | help: a band needs the hue of its centre and its half-width, both in degrees", "error LW0108 look.toml:7:1: the band \"sea\" has no `width_deg` | expected `width_deg` | help: a band needs the hue of its centre and its half-width, both in degrees"],
    },
    Case {
        name: "a later version",
        text: Whole("lookwright = 2\n[look]\nname = \"Quayside\"\n"),
        overrides: &[],
        said: &["error LW0109 look.toml:1:14: unknown version of the recipe language | expected 1, found 2 | help: this program reads version 1; a later program may read more"],
    },
    Case {
        name: "an empty name",
        text: Whole("lookwright = 1\n[look]\nname = \"  \"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["error LW0110 look.toml:3:8: `look.name` is empty | expected a text, found none | help: for example: name = \"Quayside warm\""],
    },
    Case {
        name: "two bands of one name",
        text: AfterHead("[[colour.band]]\nname = \"sea\"\ncentre_deg = 230\nwidth_deg = 40\n[[colour.band]]\nname = \"sea\"\ncentre_deg = 200\nwidth_deg = 40\n"),
        overrides: &[],
        said: &["error LW0111 look.toml:12:8: two bands are called \"sea\" | expected a name of its own | help: rename one of the two"],
    },
    Case {
        name: "everything that can be wrong with the bands of an exposure map",
        text: AfterHead(
            "[map]\ndim = 2\nclip = 0.9\n[[map.band]]\nname = \"skin\"\nfrom_stops = 1\n[[map.band]]\nfrom_stops = -17\nto_stops = 1\n",
        ),
        overrides: &["map.band.skim.to_stops=1", "map.noise_stops=1"],
        said: &[
            "error LW0104 look.toml:8:7: `map.dim` is out of range | expected 0 to 1, found 2 | help: Display light of the picture outside the bands, as a part of its own",
            "error LW0102 look.toml:9:1: unknown key `clip` in [map] | not a key in [map] | help: known here: zero_stops, noise_stops, clip_signal, dim, band",
            "error LW0104 look.toml:14:14: `map.band.from_stops` is out of range | expected -16 to 16 stops, found -17 | help: Where the band begins, in stops from the map's zero",
            "error LW0106 --set:1:10: the recipe has no band called \"skim\" | expected the name of a band of the recipe | help: did you mean \"skin\"?",
            "error LW0104 --set:1:17: `map.noise_stops` is out of range | expected -16 to 0 stops, found 1 | help: Where the noise floor ends, in stops from grey; absent, where a 10-bit code is worth more than a tenth of a stop",
            "error LW0108 look.toml:10:1: the band \"skin\" has no `to_stops` | expected `to_stops` | help: a band of the exposure map needs a name and the stops where it begins and ends",
            "error LW0108 look.toml:13:1: the band has no `name` | expected `name` | help: a band of the exposure map needs a name and the stops where it begins and ends",
        ],
    },
    Case {
        name: "bands of an exposure map that contradict each other",
        text: AfterHead(
            "[[map.band]]\nname = \"Skin\"\nfrom_stops = 0.7\nto_stops = 1.3\n[[map.band]]\nname = \"grey\"\nfrom_stops = -0.2\nto_stops = 0.8\n[[map.band]]\nname = \"Clip\"\nfrom_stops = 5\nto_stops = 5\n[[map.band]]\nname = \"skin.\"\nfrom_stops = -3\nto_stops = -2\n",
        ),
        overrides: &[],
        said: &[
            "error LW0221 look.toml:16:8: every exposure map has a zone called \"clip\" | expected another name, found \"Clip\" | help: `noise_stops` and `clip_signal` move the noise floor and clip",
            "error LW0111 look.toml:20:8: two bands are called \"Skin\" | expected a name of its own, found \"skin.\" | help: names are compared without case, spaces, hyphens, dots and underscores; rename one",
            "error LW0219 look.toml:18:12: the band \"Clip\" has no width | expected more than `from_stops` = 5, found 5 | help: a band begins at its darker end",
            "error LW0220 look.toml:9:14: the bands \"grey\" and \"Skin\" overlap | expected 0.8 or more, where \"grey\" ends, found 0.7 | help: one exposure shows one colour: end the one where the other begins",
        ],
    },
    Case {
        name: "a band of an exposure map that is written as one table",
        text: AfterHead("[map]\n[map.band]\nname = \"skin\"\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:8:6: `map.band` is a list of tables | expected [[map.band]], found [map.band] | help: write `[[map.band]]`, with two brackets, once for each band"],
    },
    Case {
        name: "a band of an exposure map in steps, by its name",
        text: AfterHead("[[map.band]]\nname = \"skin\"\nfrom_stops = 0.7\nto_stops = 1.3\n"),
        overrides: &["map.band.skin.to_stops=+0.2", "map.zero_stops-=0.5"],
        said: &[],
    },
    Case {
        name: "a show",
        text: Whole("lookwright = 1\n[show]\nname = \"Tidewater\"\n"),
        overrides: &[],
        said: &["error LW0112 look.toml:2:2: this is a show, not a recipe | expected the tables of a recipe | help: name one of the recipes that the show lists"],
    },
    Case {
        name: "a recipe that extends itself",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\nextends = \"look.toml\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["error LW0114 look.toml:4:11: recipes extend each other in a circle | look.toml was read already | help: remove one of the `extends`"],
    },
    Case {
        name: "an index that is missing",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"logc3\"\ngamut = \"awg3\"\n"),
        overrides: &[],
        said: &["error LW0201 look.toml:4:2: LogC3 depends on the exposure index, which is missing | expected `exposure_index`, one of 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1280, 1600 | help: take the index that the camera is set to; for one between, the nearest below"],
    },
    Case {
        name: "an index that nobody published",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"logc3\"\ngamut = \"awg3\"\nexposure_index = 900\n"),
        overrides: &[],
        said: &["error LW0201 look.toml:7:18: LogC3 is not published for exposure index 900 | expected one of 160, 200, 250, 320, 400, 500, 640, 800, 1000, 1280, 1600, found 900 | help: take the index that the camera is set to; for one between, the nearest below"],
    },
    Case {
        name: "an index without effect",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\nexposure_index = 800\n"),
        overrides: &[],
        said: &["warning LW0202 look.toml:7:18: S-Log3 does not depend on the exposure index | has no effect | help: remove the line; `[exposure] stops` moves the exposure"],
    },
    Case {
        name: "a curve from third parties",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"panalog\"\ngamut = \"acescg\"\n"),
        overrides: &[],
        said: &["warning LW0203 look.toml:5:12: Panalog is known from third parties only, not from its maker | Sony Imageworks (2012), make.py (third-party code) | help: check it against a chart that the camera recorded before you trust it"],
    },
    Case {
        name: "the gamut of another camera",
        text: Whole("lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"v-gamut\"\n"),
        overrides: &[],
        said: &["warning LW0204 look.toml:6:9: V-Gamut does not belong to S-Log3 | published with S-Log3: s-gamut3, s-gamut3.cine, venice-s-gamut3, venice-s-gamut3.cine | help: look up in the camera's menu which gamut it records"],
    },
    Case {
        name: "HLG on another gamut",
        text: AfterHead("[display]\nencoding = \"hlg\"\ngamut = \"bt709\"\npeak_nits = 1000\n"),
        overrides: &[],
        said: &["error LW0205 look.toml:9:9: HLG is defined for BT.2020 only | expected \"bt2020\", found \"bt709\" | help: write gamut = \"bt2020\" in [display], or choose another encoding"],
    },
    Case {
        name: "a trim that tints neutrals",
        text: AfterHead("[trim]\nmatrix = [[1, 0, 0.1], [0, 1, 0], [0, 0, 1]]\n"),
        overrides: &[],
        said: &["error LW0206 look.toml:8:10: row 1 of the trim matrix sums to 1.1, so that a neutral would not stay neutral | expected a sum of 1 (to 1e-6), found 1.1 | help: divide the row by its sum, and put the overall gain into `trim.stops`"],
    },
    Case {
        name: "a very large shift",
        text: AfterHead("[white]\nwarmer_mired = 250\n"),
        overrides: &[],
        said: &["warning LW0207 look.toml:8:16: a shift of 250 mired is more than a full colour temperature filter | 250 mired seen from 5600 K | help: common practice: a full orange filter is about +160 mired, a full blue one −137"],
    },
    Case {
        name: "a tint that no light has",
        text: AfterHead("[white]\nreference_kelvin = 5600\nwarmer_mired = 190\ngreener_duv = 0.05\n"),
        overrides: &[],
        said: &["error LW0208 look.toml:7:2: white: 190 mired and 0.05 Duv from 5600 K is a colour that no light has | its chromaticity would be x 0.5734, y 0.6141 | help: reduce the shift, or see it from another `reference_kelvin`"],
    },
    Case {
        name: "a split that turns back",
        text: AfterHead("[split]\nshadows = { warmer_mired = 150 }\nhighlights = { warmer_mired = -150 }\nwidth_stops = 0.5\n"),
        overrides: &[],
        said: &["warning LW0209 look.toml:10:15: the split makes red of a grey scale fall near -0.2 stops | 0.5 stops are too few for these two tints | help: widen `split.width_stops`, or bring the two tints closer together"],
    },
    Case {
        name: "a straight line beyond white",
        text: AfterHead("[tone]\ncontrast = 3.0\nstraight_up = 2.0\n"),
        overrides: &[],
        said: &["error LW0210 look.toml:9:15: the straight line is longer than the way to white | the display has 3.09 stops from grey to white; the straight line takes 3.00 × 2.00 = 6.00 | help: keep `tone.straight_up` below 1.03, or lower `tone.contrast`"],
    },
    Case {
        name: "grey below black",
        text: AfterHead("[tone]\ngrey = 0.002\nblack = 0.005\n"),
        overrides: &[],
        said: &["error LW0210 look.toml:8:8: grey lies at or below black | expected above tone.black = 0.005, found 0.002 | help: raise `tone.grey` or lower `tone.black`"],
    },
    Case {
        name: "a shoulder that gets steeper",
        text: AfterHead("[tone]\nwhite_stops = 2.0\n"),
        overrides: &[],
        said: &["warning LW0211 look.toml:8:15: the shoulder gets steeper before it ends | its mean slope is 1.62, above the contrast of 1.35 | help: lower `tone.white_stops`, or raise `tone.contrast` or `tone.grey`"],
    },
    Case {
        name: "no room for highlights",
        text: AfterHead("[tone]\ncontrast = 2.4\nstraight_up = 1.2\n"),
        overrides: &[],
        said: &["warning LW0212 look.toml:8:12: the contrast leaves almost nothing for the highlights | 4.8 stops of highlights share 0.21 stops of the display | help: lower `tone.contrast` or `tone.straight_up`, or lower `tone.grey`"],
    },
    Case {
        name: "a tint that never reaches white",
        text: AfterHead("[white]\nwarmer_mired = 20\n[tone]\nhue_hold = 0.8\n"),
        overrides: &[],
        said: &["warning LW0213 look.toml:10:12: with this much `hue_hold`, tinted highlights never reach white | 0.8 beside a tint | help: keep `tone.hue_hold` at 0.5 or below where white, split or grade tint"],
    },
    Case {
        name: "a band that folds",
        text: AfterHead("[[colour.band]]\ncentre_deg = 230\nwidth_deg = 40\nshift_deg = -30\n"),
        overrides: &[],
        said: &["warning LW0214 look.toml:10:13: band 1 turns its hues past their neighbours | expected at most 24.0° for a half-width of 40° | help: widen the band or shift it less"],
    },
    Case {
        name: "a grade beyond every number",
        text: AfterHead("[grade]\nslope = [4, 4, 4]\noffset = [1, 1, 1]\npower = [4, 4, 4]\nsaturation = 4\n"),
        overrides: &[],
        said: &["error LW0215 look.toml:7:2: the grade sends 34841 colours of the table to infinity | slope, offset and power together are too strong | help: lower `power` or `slope` in [grade]"],
    },
    Case {
        name: "a name that makes no file name",
        text: Whole("lookwright = 1\n[look]\nname = \"!?\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["error LW0216 look.toml:3:8: the look's name makes no file name | expected a letter or digit, found \"!?\" | help: give the look a name with at least one letter or digit"],
    },
    Case {
        name: "a name outside ASCII",
        text: Whole("lookwright = 1\n[look]\nname = \"Fähre\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n"),
        overrides: &[],
        said: &["warning LW0217 look.toml:3:8: the look's name has characters outside ASCII | the cube file says \"Fahre\" | help: cube files are ASCII; choose an ASCII name to decide for yourself how it is spelt"],
    },
    Case {
        name: "bands that are no tables",
        text: AfterHead("[colour]\nband = [1]\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:8:9: `colour.band` is a list of tables | expected [[colour.band]], found the whole number 1 | help: write `[[colour.band]]`, with two brackets, once for each band"],
    },
    Case {
        name: "a matrix of two rows",
        text: AfterHead("[trim]\nmatrix = [[1, 0, 0], [0, 1, 0]]\n"),
        overrides: &[],
        said: &["error LW0103 look.toml:8:10: `trim.matrix` is a 3×3 matrix | expected three rows, found 2 | help: for example: matrix = [[1, 0, 0], [0, 1, 0], [0, 0, 1]]"],
    },
    Case {
        name: "an override that is nearly right",
        text: AfterHead(""),
        overrides: &["camera.encoding=V-Lgo"],
        said: &["error LW0106 --set:1:17: unknown camera encoding \"V-Lgo\" | expected a known camera encoding, found \"V-Lgo\" | help: did you mean \"v-log\"? | help: `lookwright encodings` lists them all"],
    },
    Case {
        name: "several things at once",
        text: AfterHead("[tone]\ncontrast = 9\ngray = 0.1\n[white]\nwarmer_mired = \"10\"\n"),
        overrides: &[],
        said: &["error LW0104 look.toml:8:12: `tone.contrast` is out of range | expected 0.3 to 4 display stops per scene stop, found 9 | help: Slope of the straight line", "error LW0102 look.toml:9:1: unknown key `gray` in [tone] | not a key in [tone] | help: did you mean `grey`?", "error LW0103 look.toml:11:16: `white.warmer_mired` has the wrong type | expected a number, found the text \"10\" | help: remove the quotes"],
    },
];
