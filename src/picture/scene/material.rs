//! What surfaces are made of: reflectance, texture, bumps and gloss at a point.

use super::noise::{cloudy, noise};
use super::palette::Palette;
use super::vector::{V3, cosine, sine, smooth, v3};

/// A material of the scene.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Material {
    /// One of the four skins, from light to dark.
    Skin(usize),
    HairDark,
    HairBrown,
    KnitNavy,
    KnitOchre,
    ClothWhite,
    ClothSage,
    CapRed,
    /// 18 % grey, matt.
    Grey,
    Chrome,
    Glass,
    Drink,
    Ceramic,
    Table,
    TableEdge,
    Mat,
    Curtain,
    Blanket,
    BackWall,
    Reveal,
    Panel,
    /// The partition's long side: matt, as light grazes it.
    Bulkhead,
    Niche,
    Crate,
    Rope,
    Bucket,
    Steel,
    Black,
    RingBody,
    RingBand,
    Seat,
    Floor,
    Ceiling,
    SideWall,
    Shade,
    /// The chart's patches and its grey card: lit by the key alone, evenly.
    Reference(usize),
    /// The board that they are on.
    Board,
    TubeMagenta,
    TubeCyan,
    Bulb,
    Lamp,
    LeftWindow,
    Outside,
    /// What stands on the deck outside.
    Deck,
}

/// The place of the 18 % card among the reference fields, behind the 24 patches.
pub(super) const CARD: usize = 24;

/// A surface at a point.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    pub albedo: V3,
    pub normal: V3,
    /// Reflectance of the gloss, straight on.
    pub gloss: f64,
    /// Its width: 0.02 polished, 0.6 matt.
    pub rough: f64,
    /// How much light passes into the surface and out elsewhere, as skin does: softens the edge of shadows.
    pub soft: V3,
}

impl Material {
    /// Whether it shines by itself, or shows what is not in the room.
    pub fn is_light(self) -> bool {
        matches!(
            self,
            Self::TubeMagenta
                | Self::TubeCyan
                | Self::Bulb
                | Self::Lamp
                | Self::LeftWindow
                | Self::Outside
                | Self::Deck
        )
    }

    /// Whether it takes light: not what shines, and not what shows a fixed light or a mirrored one.
    pub fn is_lit(self) -> bool {
        !self.is_light() && !matches!(self, Self::Reference(_) | Self::Chrome)
    }

    /// Whether its texture is finer than two looks a pixel can hold.
    pub fn is_fine(self) -> bool {
        let cloth = matches!(
            self,
            Self::KnitNavy
                | Self::KnitOchre
                | Self::CapRed
                | Self::Blanket
                | Self::Mat
                | Self::HairDark
                | Self::HairBrown
        );
        cloth
            || matches!(self, Self::BackWall | Self::SideWall | Self::Panel | Self::Niche | Self::Crate | Self::Rope)
            || matches!(self, Self::Deck | Self::Board)
    }

    /// Whether light passes.
    pub fn is_clear(self) -> bool {
        matches!(self, Self::Glass | Self::Drink)
    }

    /// The reflectance without texture, for light that is thrown back.
    pub fn plain(self, palette: &Palette) -> V3 {
        match self {
            Self::Skin(which) => palette.skins[which.min(3)],
            Self::HairDark => palette.hair_dark,
            Self::HairBrown => palette.hair_brown,
            Self::KnitNavy | Self::Blanket => palette.navy,
            Self::KnitOchre => palette.ochre,
            Self::ClothWhite | Self::Ceramic | Self::RingBand => palette.cream,
            Self::ClothSage => palette.sage,
            Self::CapRed | Self::Bucket => palette.red,
            Self::Curtain => palette.curtain,
            Self::Grey | Self::Board => V3::ONE * 0.18,
            Self::Table | Self::TableEdge => palette.wood,
            Self::Crate => palette.wood,
            Self::Mat | Self::Rope => palette.straw,
            Self::BackWall | Self::SideWall | Self::Reveal => palette.cream * 0.8,
            Self::Panel | Self::Bulkhead => palette.green,
            Self::Niche => palette.green,
            Self::RingBody => palette.orange,
            Self::Seat => palette.upholstery,
            Self::Floor => V3::ONE * 0.06,
            Self::Ceiling => V3::ONE * 0.6,
            Self::Shade => palette.brass * 0.5,
            Self::Reference(place) if place < CARD => palette.chart[place],
            Self::Reference(_) => V3::ONE * crate::maths::GREY,
            Self::Steel | Self::Chrome => V3::ONE * 0.4,
            Self::Black => V3::ONE * 0.03,
            _ => V3::ZERO,
        }
    }

    /// The surface at a point, with its texture; `normal` is that of the shape.
    pub fn look(self, palette: &Palette, p: V3, normal: V3) -> Look {
        let plain = Look { albedo: self.plain(palette), normal, gloss: 0.04, rough: 0.55, soft: V3::ZERO };
        match self {
            Self::Skin(which) => skin(palette, which, plain, p),
            Self::HairDark | Self::HairBrown => {
                let strand = sine(p.x * 900.0 + 6.0 * noise(p.x * 60.0, p.y * 14.0, p.z * 60.0));
                let normal = (normal + v3(0.16 * strand, 0.0, 0.05 * strand)).unit();
                Look { albedo: plain.albedo * (0.9 + 0.25 * strand), normal, gloss: 0.06, rough: 0.34, ..plain }
            }
            Self::KnitNavy | Self::KnitOchre | Self::CapRed => knit(plain, p),
            Self::ClothWhite | Self::ClothSage => {
                let shade = 0.94 + 0.12 * cloudy(p.x * 26.0, p.y * 26.0, p.z * 26.0, 3);
                Look { albedo: plain.albedo * shade, gloss: 0.02, rough: 0.6, ..plain }
            }
            Self::Curtain => {
                let thread = 0.93 + 0.07 * sine(p.y * 1500.0) * sine(p.x * 1500.0);
                Look { albedo: plain.albedo * thread, gloss: 0.03, rough: 0.5, ..plain }
            }
            Self::Blanket => blanket(palette, plain, p),
            Self::Grey => Look { gloss: 0.0, ..plain },
            Self::Ceramic => Look { rough: 0.12, ..plain },
            Self::Table => wood(palette, plain, p, 0.09),
            Self::TableEdge => Look { albedo: palette.wood_dark * 0.5, rough: 0.25, ..plain },
            Self::Mat => weave(palette, plain, p),
            Self::BackWall | Self::SideWall | Self::Panel => wall(palette, self, plain, p),
            Self::Niche => {
                let stain = 0.6 + 0.8 * cloudy(p.x * 5.0, p.y * 3.0, p.z * 5.0, 4);
                let seam = smooth(0.0, 0.006, ((p.x * 4.0).fract() - 0.5).abs() * 0.25);
                Look { albedo: plain.albedo * (stain * (0.35 + 0.65 * seam)), ..plain }
            }
            Self::Bulkhead => {
                let soil = 0.8 + 0.3 * cloudy(p.z * 3.0, p.y * 2.0, 0.0, 3);
                Look { albedo: plain.albedo * soil, gloss: 0.0, ..plain }
            }
            Self::Crate => planks(plain, p),
            Self::Rope => {
                let fibre = 0.75 + 0.5 * noise(p.x * 240.0, p.y * 240.0, p.z * 240.0);
                Look { albedo: plain.albedo * fibre, gloss: 0.02, ..plain }
            }
            Self::Bucket => Look { rough: 0.22, ..plain },
            Self::Steel => Look { albedo: V3::ONE * 0.22, gloss: 0.5, rough: 0.25, ..plain },
            Self::RingBody | Self::RingBand => {
                let worn = 0.80 + 0.25 * cloudy(p.x * 14.0, p.y * 14.0, p.z * 14.0, 4);
                Look { albedo: plain.albedo * worn, rough: 0.3, ..plain }
            }
            Self::Seat => {
                let grain = 0.85 + 0.3 * cloudy(p.x * 60.0, p.y * 60.0, p.z * 60.0, 2);
                Look { albedo: plain.albedo * grain, rough: 0.35, ..plain }
            }
            Self::Shade => Look { albedo: palette.brass * 0.25, gloss: 0.45, rough: 0.3, ..plain },
            _ => plain,
        }
    }
}

fn skin(palette: &Palette, which: usize, plain: Look, p: V3) -> Look {
    let fine = noise(p.x * 420.0, p.y * 420.0, p.z * 420.0) - 0.5;
    let broad = cloudy(p.x * 34.0, p.y * 34.0, p.z * 34.0, 3) - 0.5;
    let normal = (plain.normal + v3(fine * 0.06, -fine * 0.05, fine * 0.04)).unit();
    let albedo = palette.skins[which.min(3)] * (1.0 + 0.05 * fine + 0.07 * broad);
    Look { albedo, normal, gloss: 0.035, rough: 0.36, soft: v3(0.22, 0.10, 0.07) }
}

fn knit(plain: Look, p: V3) -> Look {
    // Rows of loops that lean against each other, one to 8 mm.
    let (across, up) = (p.x * 125.0 + 0.25 * p.z * 125.0, p.y * 140.0);
    let column = across - across.floor() - 0.5;
    let row = up + column.abs() * 1.3;
    let loops = sine(std::f64::consts::TAU * row);
    let groove = smooth(0.5, 0.30, column.abs());
    let lean = if column > 0.0 { 0.25 } else { -0.25 };
    let normal = (plain.normal + v3(lean, 0.32 * cosine(std::f64::consts::TAU * row), 0.0) * 0.8).unit();
    let albedo = plain.albedo * ((0.62 + 0.38 * groove) * (0.85 + 0.25 * loops));
    Look { albedo, normal, gloss: 0.015, rough: 0.6, ..plain }
}

fn blanket(palette: &Palette, plain: Look, p: V3) -> Look {
    // Twill: ribs that climb at an angle, with two pale stripes and a nap.
    let down = p.y - p.z;
    let rib = sine((p.x + down * 0.8) * 820.0);
    let nap = noise(p.x * 300.0, p.y * 300.0, p.z * 300.0);
    let stripe = smooth(0.014, 0.011, (p.x - 0.40).abs()).max(smooth(0.005, 0.003, (p.x - 0.43).abs()));
    let dye = palette.navy.mix(palette.cream * 0.7, stripe);
    let normal = (plain.normal + v3(rib * 0.16, rib * 0.10, 0.0) + V3::ONE * ((nap - 0.5) * 0.25)).unit();
    Look { albedo: dye * (0.7 + 0.18 * rib + 0.4 * nap), normal, gloss: 0.012, rough: 0.7, ..plain }
}

fn wood(palette: &Palette, plain: Look, p: V3, rough: f64) -> Look {
    let bend = cloudy(p.x * 1.6, p.y * 2.0, p.z * 9.0, 3);
    let rings = sine((p.z * 38.0 + 5.0 * bend) * 2.0);
    let pore = noise(p.x * 26.0, p.y * 60.0, p.z * 420.0);
    let tone = 0.5 + 0.28 * rings + 0.3 * (pore - 0.5);
    let albedo = palette.wood_dark.mix(palette.wood, tone.clamp(0.0, 1.0)) * 0.8;
    Look { albedo, rough, gloss: 0.05, ..plain }
}

fn weave(palette: &Palette, plain: Look, p: V3) -> Look {
    // Flat straws over and under each other, 9 mm wide.
    let (u, v) = (p.x * 110.0, p.z * 110.0);
    let over = ((u.floor() + v.floor()) as i64).rem_euclid(2) == 0;
    let (along, across) =
        if over { (u - u.floor() - 0.5, v - v.floor() - 0.5) } else { (v - v.floor() - 0.5, u - u.floor() - 0.5) };
    let arch = 1.0 - 1.7 * along * along - 1.2 * across * across;
    let tilt = if over { v3(along, 0.0, across * 0.5) } else { v3(across * 0.5, 0.0, along) };
    let tone = 0.75 + 0.5 * noise(u.floor() * 3.1, v.floor() * 2.3, if over { 1.5 } else { 7.5 });
    Look { albedo: palette.straw * (arch * tone), normal: (plain.normal + tilt * 0.9).unit(), rough: 0.4, ..plain }
}

fn wall(palette: &Palette, material: Material, plain: Look, p: V3) -> Look {
    let soil = 0.90 + 0.16 * cloudy(p.x * 2.2, p.y * 1.4, p.z * 2.2, 4);
    let along = if material == Material::SideWall { p.z } else { p.x };
    let seam = {
        let place = along / 0.62 + 0.36;
        (place - place.floor() - 0.5).abs() * 0.62
    };
    let groove = 0.45 + 0.55 * smooth(0.001, 0.005, seam);
    let rail = smooth(0.012, 0.008, (p.y - 0.93).abs());
    let upper = if material == Material::Panel { palette.green } else { palette.cream * 0.75 };
    let lower = if material == Material::Panel { palette.green * 0.6 } else { palette.green };
    let paint = if p.y > 0.93 { upper } else { lower };
    // Rivets beside the seams.
    let row = p.y / 0.09;
    let (dx, dy) = (seam - 0.028, (row - row.floor() - 0.5) * 0.09);
    let rivet = smooth(0.0075, 0.005, (dx * dx + dy * dy).sqrt());
    let normal = (plain.normal + v3(dx, dy, 0.0) * (rivet * 60.0)).unit();
    let albedo = (paint * (soil * groove)).mix(V3::ONE * 0.25, rail * 0.8);
    Look { albedo, normal, gloss: 0.04, rough: 0.32, ..plain }
}

fn planks(plain: Look, p: V3) -> Look {
    let place = p.y / 0.085;
    let gap = smooth(0.02, 0.07, 0.5 - (place - place.floor() - 0.5).abs());
    let grain = cloudy(p.x * 9.0 + place.floor() * 5.0, p.y * 120.0, p.z * 9.0, 3);
    Look { albedo: plain.albedo * (gap * (0.55 + 0.9 * grain)), gloss: 0.02, ..plain }
}
