//! placeholder
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
}
