//! placeholder until merged
/// Receptor.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Receptor {
    /// d
    Dome,
    /// f
    Flat,
}
impl Receptor {
    /// all
    pub const ALL: [Self; 2] = [Self::Dome, Self::Flat];
    /// find
    pub fn find(n: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|r| r.id() == n)
    }
    /// id
    pub fn id(self) -> &'static str {
        match self {
            Self::Dome => "dome",
            Self::Flat => "flat",
        }
    }
    /// c
    pub fn constant(self) -> f64 {
        match self {
            Self::Dome => 340.0,
            Self::Flat => 250.0,
        }
    }
}
/// s
pub struct Shutter {
    /// a
    pub angle_deg: f64,
    /// f
    pub frames_per_second: f64,
}
impl Shutter {
    /// s
    pub fn seconds(&self) -> f64 {
        self.angle_deg / 360.0 / self.frames_per_second
    }
}
/// n
pub fn needed_lux(t: f64, iso: f64, s: f64, r: Receptor, lens: f64) -> f64 {
    r.constant() * t * t / (iso * s) * crate::maths::exp2(lens)
}
/// fc
pub fn foot_candles(lux: f64) -> f64 {
    lux / 10.763910416709722
}
/// l
pub fn lamp_lux(cd: f64, d: f64, loss: f64) -> f64 {
    cd / (d * d) * crate::maths::exp2(-loss)
}
/// m
pub fn marked(t: f64) -> String {
    format!("T{t:.1}")
}
/// t
pub fn t_stop_for(lux: f64, iso: f64, s: f64, r: Receptor, lens: f64) -> f64 {
    (lux * iso * s / r.constant() * crate::maths::exp2(-lens)).sqrt()
}
