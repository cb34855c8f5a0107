//! A cube file read and interpolated by code of this test's own.

/// Points a side, and rows, red fastest.
pub struct Cube {
    pub size: usize,
    pub rows: Vec<[f64; 3]>,
}

impl Cube {
    pub fn read(bytes: &[u8]) -> Self {
        let text = std::str::from_utf8(bytes).expect("cube files are text");
        let size = text.lines().find_map(|line| line.strip_prefix("LUT_3D_SIZE ")).expect("a size");
        let row = |line: &str| {
            let values: Vec<f64> = line.split(' ').map(|value| value.parse().expect("a number")).collect();
            [values[0], values[1], values[2]]
        };
        let rows: Vec<[f64; 3]> =
            text.lines().filter(|line| line.starts_with(|first: char| first.is_ascii_digit())).map(row).collect();
        let size: usize = size.parse().expect("a number");
        assert_eq!(rows.len(), size * size * size);
        Self { size, rows }
    }

    fn row(&self, [r, g, b]: [usize; 3]) -> [f64; 3] {
        self.rows[r + self.size * (g + self.size * b)]
    }

    /// The weights of all eight corners, each the product of three distances.
    pub fn trilinear(&self, input: [f64; 3]) -> [f64; 3] {
        let mut sum = [0.0; 3];
        let places = input.map(|value| value.clamp(0.0, 1.0) * (self.size - 1) as f64);
        let below = places.map(|place| (place.floor() as usize).min(self.size - 2));
        for corner in 0..8 {
            let mut weight = 1.0;
            let mut at = below;
            for axis in 0..3 {
                let fraction = places[axis] - below[axis] as f64;
                let upper = corner >> axis & 1;
                at[axis] += upper;
                weight *= if upper == 1 { fraction } else { 1.0 - fraction };
            }
            let row = self.row(at);
            (0..3).for_each(|channel| sum[channel] += weight * row[channel]);
        }
        sum
    }

    /// Barycentric weights in the tetrahedron that holds the point, on greys the two ends of the diagonal.
    pub fn grey_tetrahedral(&self, input: f64) -> [f64; 3] {
        let place = input.clamp(0.0, 1.0) * (self.size - 1) as f64;
        let below = (place.floor() as usize).min(self.size - 2);
        let fraction = place - below as f64;
        let (low, high) = (self.row([below; 3]), self.row([below + 1; 3]));
        [0, 1, 2].map(|channel| (1.0 - fraction) * low[channel] + fraction * high[channel])
    }
}
