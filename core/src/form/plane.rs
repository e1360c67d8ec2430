//! A plane over the surface plate, and the least-squares one.

/// A plane by its height: h = height + slope·(x, y).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Its height at x = y = 0, in mm.
    pub height: f64,
    /// Rise over run along +x and along +y.
    pub slope: [f64; 2],
}

impl Plane {
    /// Its height at a place, in mm.
    #[must_use]
    pub fn at(self, x: f64, y: f64) -> f64 {
        self.height + self.slope[0] * x + self.slope[1] * y
    }

    /// Cosine of its angle to the surface plate: a distance along the height times this is the
    /// distance at right angles to the plane.
    #[must_use]
    pub fn cosine(self) -> f64 {
        1.0 / (1.0 + self.slope[0] * self.slope[0] + self.slope[1] * self.slope[1]).sqrt()
    }
}

/// Points moved to their centroid, turned along their main direction and made about 1 long and 1
/// wide, with the least-squares plane of their heights taken away. Planes stay planes under all of
/// this; figures keep their digits for narrow strips and for small forms far from the origin.
pub(super) struct Normal {
    /// Centroid: x, y and height.
    centroid: [f64; 3],
    /// Main direction and the one across, as unit vectors over the half extent along them.
    axes: [[f64; 2]; 2],
    /// Slopes of the least-squares plane along the axes, in mm.
    slope: [f64; 2],
    /// Places along the axes, and the height above the least-squares plane in mm.
    pub(super) points: Vec<[f64; 3]>,
}

/// The smallest extent across a line, as a share of that along it, that counts as a plane.
const ACROSS: f64 = 1e-6;

impl Normal {
    /// `None` where the points lie on one line, seen from above.
    pub(super) fn of(points: &[[f64; 3]]) -> Option<Normal> {
        let centroid = mean(points);
        let mut points: Vec<[f64; 3]> = points
            .iter()
            .map(|p| [p[0] - centroid[0], p[1] - centroid[1], p[2] - centroid[2]])
            .collect();
        let axes = axes(&points)?;
        let [mut aa, mut ab, mut bb, mut ah, mut bh] = [0.0; 5];
        for p in &mut points {
            let [a, b] = axes.map(|axis| axis[0] * p[0] + axis[1] * p[1]);
            (p[0], p[1]) = (a, b);
            aa += a * a;
            ab += a * b;
            bb += b * b;
            ah += a * p[2];
            bh += b * p[2];
        }
        let det = aa * bb - ab * ab;
        let slope = [(bb * ah - ab * bh) / det, (aa * bh - ab * ah) / det];
        if !(slope[0].is_finite() && slope[1].is_finite()) {
            return None;
        }
        for p in &mut points {
            p[2] -= slope[0] * p[0] + slope[1] * p[1];
        }
        Some(Normal { centroid, axes, slope, points })
    }

    /// The plane of the original points that in these is `slope·(a, b) + height`.
    pub(super) fn original(&self, height: f64, slope: [f64; 2]) -> Plane {
        let [a, b] = [self.slope[0] + slope[0], self.slope[1] + slope[1]];
        let slope = [0, 1].map(|k| a * self.axes[0][k] + b * self.axes[1][k]);
        let [x, y, h] = self.centroid;
        Plane { height: h + height - slope[0] * x - slope[1] * y, slope }
    }
}

fn mean(points: &[[f64; 3]]) -> [f64; 3] {
    // Twice, the second time of what is left: exact to the last digit or two.
    let mut mean = [0.0; 3];
    for _ in 0..2 {
        let mut n = 0.0;
        let mut sum = [0.0; 3];
        for p in points {
            n += 1.0;
            for k in 0..3 {
                sum[k] += p[k] - mean[k];
            }
        }
        for k in 0..3 {
            mean[k] += sum[k] / n;
        }
    }
    mean
}

/// The main direction of points about their centroid and the one across, each over the points' half
/// extent along it; `None` where there is nothing across.
fn axes(points: &[[f64; 3]]) -> Option<[[f64; 2]; 2]> {
    let [mut xx, mut xy, mut yy] = [0.0; 3];
    for p in points {
        xx += p[0] * p[0];
        xy += p[0] * p[1];
        yy += p[1] * p[1];
    }
    let turn = 0.5 * libm::atan2(2.0 * xy, xx - yy);
    let (c, s) = (libm::cos(turn), libm::sin(turn));
    let extent = |axis: [f64; 2]| {
        points.iter().fold(0.0, |m: f64, p| m.max((axis[0] * p[0] + axis[1] * p[1]).abs()))
    };
    let (along, across) = ([c, s], [-s, c]);
    let (long, wide) = (extent(along), extent(across));
    let plane = wide > ACROSS * long;
    plane.then(|| [along.map(|x| x / long), across.map(|x| x / wide)])
}
