//! A show: the example recipes, varied as people vary them on the day.

use lookwright::formats::cube::{self, CubeFile, Header};
use lookwright::identify::Candidate;
use lookwright::lut::{Table3, sample};
use lookwright::maths::Rgb;
use lookwright::pipeline::Pipeline;
use lookwright::recipe;
use std::path::Path;

/// The bases; each has its own camera and display.
pub const RECIPES: [&str; 7] =
    ["crossing-noon", "deck-hdr", "dusk-car-deck", "engine-room", "fog-morning", "moonlit-cabin", "snack-bar"];

/// Cameras of the show beside those of the recipes.
const CAMERAS: [[&str; 2]; 4] = [
    ["camera.encoding=\"s-log3\"", "camera.gamut=\"s-gamut3.cine\""],
    ["camera.encoding=\"logc4\"", "camera.gamut=\"awg4\""],
    ["camera.encoding=\"v-log\"", "camera.gamut=\"v-gamut\""],
    ["camera.encoding=\"log3g10\"", "camera.gamut=\"redwidegamutrgb\""],
];

/// Displays beside those of the recipes.
const DISPLAYS: [[&str; 2]; 3] = [
    ["display.encoding=\"bt1886\"", "display.gamut=\"bt709\""],
    ["display.encoding=\"gamma26\"", "display.gamut=\"p3-d65\""],
    ["display.encoding=\"gamma24\"", "display.gamut=\"bt709\""],
];

/// Steele, Lea and Flood 2014 (bibliography: splitmix).
pub struct Random(pub u64);

impl Random {
    pub fn unit(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn below(&mut self, count: usize) -> usize {
        ((self.unit() * count as f64) as usize).min(count - 1)
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    pub fn pick<'a, T>(&mut self, of: &'a [T]) -> &'a T {
        &of[self.below(of.len())]
    }
}

/// A look as its recipe and what was laid on top.
#[derive(Clone, Debug)]
pub struct Variation {
    pub recipe: &'static str,
    pub mired: f64,
    pub contrast: f64,
    pub others: Vec<String>,
}

impl Variation {
    /// As people vary a look on the day.
    pub fn random(random: &mut Random) -> Self {
        let recipe = *random.pick(&RECIPES);
        let (mired, contrast) = base_values(recipe);
        let step = |value: f64, step: f64| (value / step).round() * step;
        let mired = mired + step(random.between(-40.0, 40.0), 2.0);
        let contrast = step(contrast + random.between(-0.15, 0.15), 0.01);
        let mut others = vec![
            format!("white.greener_cc={}", step(random.between(-4.0, 4.0), 0.5)),
            format!("exposure.stops={}", step(random.between(-0.8, 0.8), 0.1)),
            format!("colour.saturation={}", step(random.between(0.6, 1.1), 0.02)),
        ];
        if random.unit() < 0.4 {
            others.push(format!("split.highlights.warmer_mired={}", step(random.between(-20.0, 20.0), 2.0)));
        }
        if random.unit() < 0.6 {
            others.extend(random.pick(&CAMERAS).map(str::to_owned));
        }
        if recipe != "deck-hdr" && random.unit() < 0.5 {
            others.extend(random.pick(&DISPLAYS).map(str::to_owned));
        }
        others.push(format!("lut.size={}", random.pick(&[17, 17, 17, 33])));
        if random.unit() < 0.2 {
            others.push("lut.input_levels=\"legal\"".to_owned());
        }
        if random.unit() < 0.2 {
            others.push("lut.output_levels=\"legal\"".to_owned());
        }
        Self { recipe, mired, contrast, others }
    }

    pub fn build(&self) -> Option<Candidate> {
        let mut overrides = self.others.clone();
        overrides.push(format!("white.warmer_mired={:?}", self.mired));
        overrides.push(format!("tone.contrast={:?}", self.contrast));
        built(self.recipe, &overrides)
    }
}

/// Mired and contrast that a recipe has, read from it.
fn base_values(recipe: &'static str) -> (f64, f64) {
    let plan = built(recipe, &[]).unwrap_or_else(|| panic!("{recipe} builds")).plan;
    (plan.white.warmer_mired, plan.tone.map_or(1.0, |tone| tone.contrast))
}

/// A recipe with overrides, if they make a look together.
pub fn built(recipe: &str, overrides: &[String]) -> Option<Candidate> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("recipes/{recipe}.toml"));
    let loaded = recipe::load(&path, overrides).unwrap_or_else(|faults| panic!("{recipe} {overrides:?}: {faults:?}"));
    let (plan, _) = loaded.recipe.resolve().ok()?;
    let (pipeline, _) = Pipeline::build(&plan).ok()?;
    Some(Candidate { plan, pipeline })
}

/// Looks, with their tables as files hold them.
pub struct Show {
    pub candidates: Vec<Candidate>,
    pub variations: Vec<Variation>,
    pub names: Vec<String>,
    pub tables: Vec<Table3>,
}

impl Show {
    /// Largest distance between the tables of two looks; infinite where they have other sizes.
    pub fn distance(&self, a: usize, b: usize) -> f64 {
        let (a, b) = (&self.tables[a], &self.tables[b]);
        if a.size() != b.size() {
            return f64::INFINITY;
        }
        a.nodes().iter().flatten().zip(b.nodes().iter().flatten()).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
    }
}

/// A show of so many looks: of four, one is a look of the day, one the same two mired warmer, one the same with a little more
/// contrast, and one for another device or, where that changes nothing, another name for the same table.
pub fn show(looks: usize) -> Show {
    let mut random = Random(7);
    let mut show = Show { candidates: vec![], variations: vec![], names: vec![], tables: vec![] };
    while show.candidates.len() < looks {
        let variation = Variation::random(&mut random);
        let warmer = Variation { mired: variation.mired + 2.0, ..variation.clone() };
        let steeper = Variation { contrast: variation.contrast + 0.02, ..variation.clone() };
        let mut elsewhere = variation.clone();
        elsewhere.others.push("lut.interpolation=\"trilinear\"".to_owned());
        let four = [variation, warmer, steeper, elsewhere];
        let built: Vec<Candidate> = four.iter().filter_map(Variation::build).collect();
        if built.len() < four.len() {
            continue;
        }
        for (candidate, variation) in built.into_iter().zip(four) {
            show.tables.push(table_of(&candidate));
            show.names.push(format!("{variation:?}"));
            show.candidates.push(candidate);
            show.variations.push(variation);
        }
    }
    show
}

/// The table that a compile writes, as its file holds it.
pub fn table_of(candidate: &Candidate) -> Table3 {
    let table = sample(&candidate.pipeline, candidate.plan.device.size).table;
    let file = file_of(&table, &Header::default());
    match file.tables {
        cube::Tables::Three(table) => table,
        other => panic!("a 3D table was written, {other:?} was read"),
    }
}

/// A table as a file: written and read.
pub fn file_of(table: &Table3, header: &Header) -> CubeFile {
    let mut bytes = Vec::new();
    cube::write(table, header, &mut bytes);
    cube::parse("loose.cube", &bytes).unwrap_or_else(|faults| panic!("a written file is read: {faults:?}"))
}

/// A table of a function over 0..1.
pub fn table(size: usize, of: impl Fn(Rgb) -> Rgb) -> Table3 {
    let last = (size - 1) as f64;
    let nodes = (0..size * size * size)
        .map(|node| of([node % size, node / size % size, node / (size * size)].map(|index| index as f64 / last)))
        .collect();
    Table3::new(size, lookwright::lut::Domain::UNIT, nodes).expect("size³ nodes")
}
