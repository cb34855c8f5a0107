//! The fields of a show → a [`Show`]: ids are held against each other, and lists that are absent mean all.

pub(super) mod lights;

use super::declared;
use super::fields::{self, Fields};
use super::model::{
    Charset, ConsistencyTolerances, FileRules, Id, Light, LookVersion, OwnFilter, Setup, Show, ShowCamera, ShowLook,
    ShowMonitor, Variant, text_of,
};
use crate::diagnostics::{Diagnostic, SourceText, Span, codes, nearest};
use crate::formats::cube::Newline;
use crate::formats::{is_device, slug};
use crate::light::exposure::Receptor;
use crate::recipe::{self, Overlay, Value, Written};
use std::path::Path;
use std::sync::Arc;

/// Whose most ids are.
const SHOW: &str = "the show";

/// The longest id: it becomes a part of file names.
const ID_MAX: usize = 32;

/// Keys of a camera that are laid over a recipe.
const CAMERA_KEYS: [(&str, &str); 3] =
    [("encoding", "camera.encoding"), ("gamut", "camera.gamut"), ("exposure_index", "camera.exposure_index")];

/// Keys of a monitor that are laid over a recipe.
const MONITOR_KEYS: [(&str, &str); 7] = [
    ("encoding", "display.encoding"),
    ("gamut", "display.gamut"),
    ("peak_nits", "display.peak_nits"),
    ("size", "lut.size"),
    ("interpolation", "lut.interpolation"),
    ("input_levels", "lut.input_levels"),
    ("output_levels", "lut.output_levels"),
];

/// Whether a text declares a show: it has a table `[show]` at its top.
#[must_use]
pub fn is_show(text: &str) -> bool {
    let (table, _) = toml::de::DeTable::parse_recoverable(text);
    table.get_ref().keys().any(|key| key.get_ref() == "show")
}

impl Show {
    /// Reads a show. `size` is a size that is asked for instead of each monitor's own. What is doubtful comes back beside it.
    ///
    /// # Errors
    /// Everything that is wrong in the show's file, at once.
    pub fn load(path: &Path, size: Option<usize>) -> Result<(Self, Vec<Diagnostic>), Vec<Diagnostic>> {
        let text = recipe::read_text(path).map_err(|diagnostic| vec![diagnostic])?;
        Self::parse(path, text, size)
    }

    /// The same from a text that was read already.
    ///
    /// # Errors
    /// As [`Self::load`].
    pub fn parse(path: &Path, text: String, size: Option<usize>) -> Result<(Self, Vec<Diagnostic>), Vec<Diagnostic>> {
        let source = SourceText::new(path.display().to_string(), text);
        let mut found = Vec::new();
        let fields = fields::read(&source, &mut found);
        let mut reader = Reader { found, size };
        let show = fields.map(|fields| reader.show(path, &source, &fields));
        let mut found = reader.found;
        found.sort_by_key(|diagnostic| diagnostic.span.as_ref().map_or(0, |span| span.range.start));
        match show {
            Some(show) if !found.iter().any(Diagnostic::is_error) => Ok((show, found)),
            _ => Err(found),
        }
    }
}

struct Reader {
    found: Vec<Diagnostic>,
    size: Option<usize>,
}

impl Reader {
    fn show(&mut self, path: &Path, source: &Arc<SourceText>, top: &Fields) -> Show {
        let show = top.table("show");
        let name = show.map_or_else(|| Id { text: String::new(), span: top.span.clone() }, |show| id(show, "name"));
        if show.is_none() && !top.has("show") {
            let diagnostic = Diagnostic::error(&codes::MISSING_KEY, "the show has no [show]");
            self.found.push(diagnostic.at(top.span.clone(), "expected [show]").help("write `[show]` and a `name`"));
        } else if !name.text.is_empty() && (slug(&name.text).is_empty() || is_device(&slug(&name.text))) {
            let diagnostic = Diagnostic::error(&codes::NO_FILE_NAME, "the show's name makes no folder name");
            let label = format!("expected a name with a letter or digit that is no device's, found \"{}\"", name.text);
            self.found.push(diagnostic.at(name.span.clone(), label).help("give the show another name"));
        }
        let cameras: Vec<ShowCamera> = top.tables("camera").iter().map(camera).collect();
        let monitors: Vec<ShowMonitor> = top.tables("monitor").iter().map(|monitor| self.monitor(monitor)).collect();
        self.ids("camera", cameras.iter().map(|camera| &camera.id));
        self.ids("monitor", monitors.iter().map(|monitor| &monitor.id));
        let looks: Vec<ShowLook> = top.tables("look").iter().map(|look| self.look(look, &cameras, &monitors)).collect();
        self.ids("look", looks.iter().map(|look| &look.id));
        for (kind, count) in [("camera", cameras.len()), ("monitor", monitors.len()), ("look", looks.len())] {
            if count == 0 && !top.has(kind) {
                let diagnostic = Diagnostic::error(&codes::SHOW_INCOMPLETE, format!("the show has no {kind}"));
                let table = declared::table(kind).map_or("", |table| table.written);
                self.found.push(
                    diagnostic
                        .at(show.map_or(&top.span, |show| &show.span).clone(), format!("expected at least one {table}"))
                        .help(format!("add one {table}")),
                );
            }
        }
        let own_filters: Vec<OwnFilter> = top.tables("filter").iter().map(|filter| self.own_filter(filter)).collect();
        self.filter_names(&own_filters);
        let setups: Vec<Setup> =
            top.tables("setup").iter().filter_map(|setup| self.setup(setup, &looks, &cameras, &own_filters)).collect();
        self.ids("setup", setups.iter().map(|setup| &setup.id));
        let versions: Vec<LookVersion> =
            top.tables("version").iter().filter_map(|version| self.version(version, &setups)).collect();
        self.version_ids(&setups, &versions, &looks);
        let consistency = top.table("consistency");
        let tolerance = |key| number(consistency, "consistency", key);
        Show {
            path: path.to_path_buf(),
            source: Arc::clone(source),
            name,
            frame_rate: number(show, "show", "frame_rate"),
            note: show.map(|show| text(show, "note")).unwrap_or_default(),
            tolerances: ConsistencyTolerances {
                mean_de: tolerance("mean_de"),
                p95_de: tolerance("p95_de"),
                max_de: tolerance("max_de"),
            },
            cameras,
            monitors,
            looks,
            filters: own_filters,
            setups,
            versions,
        }
    }

    /// The form of ids, and that none is given twice.
    fn ids<'a>(&mut self, kind: &str, ids: impl Iterator<Item = &'a Id>) {
        let mut seen: Vec<&Id> = Vec::new();
        for id in ids.filter(|id| !id.text.is_empty()) {
            self.found.extend(id_faults(kind, id));
            if let Some(first) = seen.iter().find(|first| first.is(&id.text)) {
                let (line, _) = first.span.source.line_column(first.span.range.start);
                let diagnostic =
                    Diagnostic::error(&codes::ID_TWICE, format!("two {kind}s have the id \"{}\"", id.text));
                let label = format!("expected an id of its own, found that of line {line}");
                self.found.push(diagnostic.at(id.span.clone(), label).help("rename one of the two"));
            }
            seen.push(id);
        }
    }

    fn monitor(&mut self, fields: &Fields) -> ShowMonitor {
        let mut overlay = overlay(fields, &["display", "lut"], &MONITOR_KEYS);
        let file = fields.table("file");
        let rules = self.rules(fields, file);
        let asked = self.size.unwrap_or_else(|| match fields.one("size").map(|written| &written.value) {
            Some(Value::Integer(size)) => usize::try_from(*size).unwrap_or(0),
            _ => usize::try_from(whole("monitor", "size")).unwrap_or(0),
        });
        let size = nearest_size(asked, &rules.sizes);
        if size != asked || self.size.is_some() {
            let span = fields.place("size");
            overlay.values.retain(|(path, _)| *path != "lut.size");
            let value = Value::Integer(i64::try_from(size).unwrap_or(i64::MAX));
            overlay.values.push(("lut.size", Written { value, span: span.clone() }));
            if size != asked {
                let id = text(fields, "id");
                let message = format!("monitor \"{id}\" does not accept {asked} points a side");
                let label = format!("{size} are taken, the nearest that it accepts");
                self.found.push(
                    Diagnostic::warning(&codes::SIZE_MOVED, message)
                        .at(span, label)
                        .help(format!("write size = {size} to decide it yourself")),
                );
            }
        }
        ShowMonitor {
            id: id(fields, "id"),
            overlay,
            rules,
            slots: match fields.one("slots").map(|written| &written.value) {
                Some(Value::Integer(slots)) => usize::try_from(*slots).ok(),
                _ => None,
            },
            note: text(fields, "note"),
        }
    }

    fn rules(&mut self, monitor: &Fields, file: Option<&Fields>) -> FileRules {
        let one = |key: &str| file.and_then(|file| file.one(key));
        let charset = one("charset").map(text_of).and_then(Charset::find).unwrap_or_default();
        let name_max = match one("name_max").map(|written| &written.value) {
            Some(Value::Integer(name_max)) => *name_max,
            _ => whole("monitor.file", "name_max"),
        };
        let fixed_name = one("name").map(|written| text_of(written).to_owned());
        if let (Some(name), Some(written)) = (&fixed_name, one("name")) {
            self.fixed_name(name, &written.span);
        }
        FileRules {
            name_max: usize::try_from(name_max).unwrap_or(1),
            charset,
            fixed_name,
            newline: match one("newline").map(text_of) {
                Some("crlf") => Newline::CarriageReturnLineFeed,
                _ => Newline::LineFeed,
            },
            comments: !matches!(one("comments").map(|written| &written.value), Some(Value::Flag(false))),
            sizes: file
                .and_then(|file| file.list("sizes"))
                .unwrap_or_default()
                .iter()
                .filter_map(|written| match written.value {
                    Value::Integer(size) => usize::try_from(size).ok(),
                    _ => None,
                })
                .collect(),
            span: file.map_or(&monitor.span, |file| &file.span).clone(),
        }
    }

    fn fixed_name(&mut self, name: &str, span: &Span) {
        let stem = name.strip_suffix(".cube").or_else(|| name.strip_suffix(".CUBE"));
        let good = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.');
        let unusable = |stem: &str| stem.is_empty() || stem.starts_with('.') || is_device(stem);
        if stem.is_none_or(unusable) || !name.chars().all(good) {
            let diagnostic =
                Diagnostic::error(&codes::NAME_IMPOSSIBLE, format!("\"{name}\" is no name of a cube file"));
            let label = "expected letters, digits, hyphens and underscores, and the ending .cube";
            self.found.push(diagnostic.at(span.clone(), label).help("for example: name = \"VIEW.cube\""));
        }
    }

    fn look(&mut self, fields: &Fields, cameras: &[ShowCamera], monitors: &[ShowMonitor]) -> ShowLook {
        let variants: Vec<Variant> = fields
            .tables("variants")
            .iter()
            .map(|variant| Variant {
                id: id(variant, "id"),
                exposure_stops: number(Some(variant), "look.variants", "exposure_stops"),
                strength: number(Some(variant), "look.variants", "strength"),
                monochrome: flag(variant, "monochrome"),
            })
            .collect();
        for variant in &variants {
            if variant.exposure_stops == 0.0 && variant.strength == 1.0 && !variant.monochrome {
                let message = format!("variant \"{}\" changes nothing", variant.id.text);
                let diagnostic = Diagnostic::warning(&codes::VARIANT_SAME, message);
                let label = "expected `exposure_stops`, `strength` or `monochrome`";
                self.found
                    .push(diagnostic.at(variant.id.span.clone(), label).help("say what it changes, or leave it out"));
            }
        }
        self.ids("variant", variants.iter().map(|variant| &variant.id));
        let camera_ids: Vec<&Id> = cameras.iter().map(|camera| &camera.id).collect();
        let monitor_ids: Vec<&Id> = monitors.iter().map(|monitor| &monitor.id).collect();
        ShowLook {
            id: id(fields, "id"),
            recipe: id(fields, "recipe"),
            variants,
            cameras: self
                .places(fields, "cameras", "camera", &camera_ids)
                .map_or_else(|| (0..cameras.len()).collect(), without_spans),
            monitors: self
                .places(fields, "monitors", "monitor", &monitor_ids)
                .map_or_else(|| (0..monitors.len()).collect(), without_spans),
            note: text(fields, "note"),
        }
    }

    /// The places of the ids that a list names, each with where it is named; `None` where there is no list.
    fn places(&mut self, fields: &Fields, key: &str, kind: &str, known: &[&Id]) -> Option<Vec<(usize, Span)>> {
        let written = fields.list(key)?;
        if written.is_empty() {
            let diagnostic = Diagnostic::error(&codes::SHOW_INCOMPLETE, format!("`{key}` names no {kind}"));
            self.found.push(
                diagnostic
                    .at(fields.span.clone(), format!("expected at least one {kind}"))
                    .help(format!("leave `{key}` out to mean all")),
            );
        }
        let mut places: Vec<(usize, Span)> = Vec::new();
        for one in written {
            if let Some(place) = self.place(one, SHOW, kind, known) {
                if places.iter().any(|(known, _)| *known == place) {
                    let message = format!("`{key}` names \"{}\" twice", text_of(one));
                    let diagnostic = Diagnostic::error(&codes::ID_TWICE, message);
                    self.found.push(diagnostic.at(one.span.clone(), "named already").help("name it once"));
                } else {
                    places.push((place, one.span.clone()));
                }
            }
        }
        Some(places)
    }

    fn place(&mut self, written: &Written, owner: &str, kind: &str, known: &[&Id]) -> Option<usize> {
        let wanted = text_of(written);
        let place = known.iter().position(|id| id.is(wanted));
        if place.is_none() {
            self.found.push(unknown_id(written.span.clone(), wanted, owner, kind, known));
        }
        place
    }

    fn setup(
        &mut self,
        fields: &Fields,
        looks: &[ShowLook],
        cameras: &[ShowCamera],
        own_filters: &[OwnFilter],
    ) -> Option<Setup> {
        let look_ids: Vec<&Id> = looks.iter().map(|look| &look.id).collect();
        let camera_ids: Vec<&Id> = cameras.iter().map(|camera| &camera.id).collect();
        let look = fields.one("look").and_then(|written| self.place(written, SHOW, "look", &look_ids));
        let named = self.places(fields, "cameras", "camera", &camera_ids);
        let lights: Vec<Light> = fields.tables("lights").iter().map(|light| self.light(light, own_filters)).collect();
        let t_stop = fields.one("stop").and_then(|written| self.t_stop(written));
        let look = look?;
        let variant_ids: Vec<&Id> = looks[look].variants.iter().map(|variant| &variant.id).collect();
        let owner = format!("look \"{}\"", looks[look].id.text);
        let variant = fields.one("variant").and_then(|written| self.place(written, &owner, "variant", &variant_ids));
        for (place, span) in named.iter().flatten() {
            if !looks[look].cameras.contains(place) {
                let (camera, look) = (&cameras[*place].id.text, &looks[look].id.text);
                let message = format!("look \"{look}\" is not made for camera \"{camera}\"");
                self.found.push(
                    Diagnostic::error(&codes::ID_UNKNOWN, message)
                        .at(span.clone(), "expected a camera of the look")
                        .help(format!("add \"{camera}\" to the `cameras` of look \"{look}\"")),
                );
            }
        }
        let numeric = |key: &str| match fields.one(key).map(|written| &written.value) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        };
        Some(Setup {
            id: id(fields, "id"),
            look,
            variant,
            cameras: named.map_or_else(|| looks[look].cameras.clone(), without_spans),
            balance_kelvin: numeric("balance_kelvin"),
            balance_greener_duv: number(Some(fields), "setup", "balance_greener_duv"),
            balance_note: text(fields, "balance_note"),
            clips: fields.list("clips").unwrap_or_default().iter().map(|one| text_of(one).to_owned()).collect(),
            lights,
            diffusion_on_lens: fields.one("diffusion_on_lens").map(|_| id(fields, "diffusion_on_lens")),
            haze: flag(fields, "haze"),
            iso: numeric("iso"),
            shutter_deg: numeric("shutter_deg"),
            t_stop,
            frame_rate: numeric("frame_rate"),
            lens_stops: number(Some(fields), "setup", "lens_stops"),
            receptor: fields.one("meter").and_then(|written| {
                let name = text_of(written);
                Receptor::ALL.into_iter().find(|receptor| receptor.name() == name)
            }),
            note: text(fields, "note"),
        })
    }

    fn version(&mut self, fields: &Fields, setups: &[Setup]) -> Option<LookVersion> {
        let setup_ids: Vec<&Id> = setups.iter().map(|setup| &setup.id).collect();
        let setup = fields.one("setup").and_then(|written| self.place(written, SHOW, "setup", &setup_ids))?;
        Some(LookVersion {
            id: id(fields, "id"),
            setup,
            from: id(fields, "from"),
            set_span: fields.list("set").and_then(|set| set.first()).map_or(&fields.span, |one| &one.span).clone(),
            set: fields.list("set").unwrap_or_default().iter().map(|one| text_of(one).to_owned()).collect(),
            changed: text(fields, "changed"),
            made: text(fields, "made"),
            look_fingerprint: id(fields, "look_fingerprint"),
        })
    }

    /// Versions share the names of setups, for each setup is its own first version; and those of the variants of its look,
    /// for their files lie side by side.
    fn version_ids(&mut self, setups: &[Setup], versions: &[LookVersion], looks: &[ShowLook]) {
        let setup_ids = setups.iter().map(|setup| &setup.id);
        let before = self.found.len();
        self.ids("version", setup_ids.chain(versions.iter().map(|version| &version.id)));
        // Two setups of one id were told already.
        let told: Vec<Diagnostic> = self.found.drain(before..).collect();
        let of_version =
            |diagnostic: &Diagnostic| versions.iter().any(|version| diagnostic.span.as_ref() == Some(&version.id.span));
        self.found.extend(told.into_iter().filter(of_version));
        for (index, version) in versions.iter().enumerate() {
            let setup = &setups[version.setup];
            let earlier = versions[..index].iter().filter(|earlier| earlier.setup == version.setup);
            let known: Vec<&Id> = std::iter::once(&setup.id).chain(earlier.map(|earlier| &earlier.id)).collect();
            if !known.iter().any(|id| id.is(&version.from.text)) {
                let owner = format!("setup \"{}\"", setup.id.text);
                let wanted = &version.from.text;
                self.found.push(unknown_id(version.from.span.clone(), wanted, &owner, "earlier version", &known));
            }
            if let Some(variant) = looks[setup.look].variants.iter().find(|variant| variant.id.is(&version.id.text)) {
                let message = format!("version \"{}\" has the name of a variant of its look", version.id.text);
                let (line, _) = variant.id.span.source.line_column(variant.id.span.range.start);
                self.found.push(
                    Diagnostic::error(&codes::ID_TWICE, message)
                        .at(version.id.span.clone(), format!("expected an id of its own, found that of line {line}"))
                        .help("rename one of the two"),
                );
            }
        }
    }
}

/// What keeps an id from being part of a file name.
pub(super) fn id_faults(kind: &str, id: &Id) -> Vec<Diagnostic> {
    let mut found = Vec::new();
    if is_device(&id.text) {
        let message = format!("no file can be called \"{}\" on some systems", id.text);
        let label = "expected an id that is no name of a device";
        found.push(Diagnostic::error(&codes::ID_FORM, message).at(id.span.clone(), label).help("rename it"));
    }
    let good = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
    if id.text.is_empty() || id.text.len() > ID_MAX || !id.text.chars().all(good) {
        let message = format!("the {kind}'s id \"{}\" can't be part of a file name", id.text);
        let label = format!("expected 1 to {ID_MAX} letters, digits, hyphens and underscores, found \"{}\"", id.text);
        found.push(
            Diagnostic::error(&codes::ID_FORM, message)
                .at(id.span.clone(), label)
                .help("keep the long name for a `note` or the recipe's own name"),
        );
    }
    found
}

/// What is said about an id that does not exist.
pub(super) fn unknown_id(span: Span, wanted: &str, owner: &str, kind: &str, known: &[&Id]) -> Diagnostic {
    let article = if kind.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
    let diagnostic = Diagnostic::error(&codes::ID_UNKNOWN, format!("{owner} has no {kind} \"{wanted}\""))
        .at(span, format!("expected the id of {article} {kind}, found \"{wanted}\""));
    let names: Vec<&str> = known.iter().map(|id| id.text.as_str()).collect();
    match nearest(wanted, names.iter().copied()) {
        Some(near) => diagnostic.help(format!("did you mean \"{near}\"?")),
        None if names.is_empty() => diagnostic.help(format!("{owner} has none yet")),
        None => diagnostic.help(format!("known: {}", names.join(", "))),
    }
}

/// The nearest of the sizes that a device accepts, the larger of two; the size itself where it accepts any.
fn nearest_size(asked: usize, sizes: &[usize]) -> usize {
    sizes.iter().copied().min_by_key(|size| (size.abs_diff(asked), usize::MAX - size)).unwrap_or(asked)
}

fn camera(fields: &Fields) -> ShowCamera {
    ShowCamera {
        id: id(fields, "id"),
        overlay: overlay(fields, &["camera"], &CAMERA_KEYS),
        trim: fields.one("trim").map(|_| id(fields, "trim")),
        note: text(fields, "note"),
    }
}

fn overlay(fields: &Fields, tables: &[&'static str], keys: &[(&str, &'static str)]) -> Overlay {
    Overlay {
        tables: tables.iter().map(|table| (*table, fields.span.clone())).collect(),
        values: keys.iter().filter_map(|(key, path)| Some((*path, fields.one(key)?.clone()))).collect(),
    }
}

fn without_spans(places: Vec<(usize, Span)>) -> Vec<usize> {
    places.into_iter().map(|(place, _)| place).collect()
}

fn id(fields: &Fields, key: &str) -> Id {
    Id { text: text(fields, key), span: fields.place(key) }
}

/// A text without control characters, which would move the reader's cursor or split a report.
fn text(fields: &Fields, key: &str) -> String {
    fields.one(key).map(|written| recipe::printable(text_of(written))).unwrap_or_default()
}

fn flag(fields: &Fields, key: &str) -> bool {
    matches!(fields.one(key).map(|written| &written.value), Some(Value::Flag(true)))
}

/// A number, or its default; 0 where it was wrong, which was told.
fn number(fields: Option<&Fields>, table: &str, key: &str) -> f64 {
    match fields.and_then(|fields| fields.one(key)).map(|written| &written.value) {
        Some(Value::Number(number)) => *number,
        _ => match default(table, key) {
            Some(Value::Number(number)) => number,
            _ => 0.0,
        },
    }
}

fn whole(table: &str, key: &str) -> i64 {
    match default(table, key) {
        Some(Value::Integer(number)) => number,
        _ => 0,
    }
}

fn default(table: &str, key: &str) -> Option<Value> {
    let key = declared::table(table)?.keys.iter().find(|declared| declared.name == key)?;
    key.parameter()?.default.value()
}
