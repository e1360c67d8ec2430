//! Algebraic circles to start from, and the Newton iteration of the geometric one.
//!
//! Points are about 1 wide and have their centroid at the origin.

/// Centre and radius.
#[derive(Clone, Copy, Debug)]
pub(super) struct Arc {
    pub(super) centre: [f64; 2],
    pub(super) radius: f64,
}

/// A symmetric 3 × 3 matrix of (centre x, centre y, radius), rows of its lower triangle.
type Lower = [[f64; 3]; 3];

/// What one point adds: its distance from the circle, the unit vector from the centre to it, and
/// the derivative of that distance times the unit vector by the point, M = u uᵀ + e (1 − u uᵀ)/d.
pub(super) struct Share {
    pub(super) residual: f64,
    pub(super) unit: [f64; 2],
    pub(super) m: [[f64; 2]; 2],
}

impl Arc {
    pub(super) fn share(&self, p: [f64; 2]) -> Share {
        let v = [p[0] - self.centre[0], p[1] - self.centre[1]];
        let d = libm::hypot(v[0], v[1]);
        let residual = d - self.radius;
        if d <= 0.0 {
            // At the centre every direction is as good: none.
            return Share { residual, unit: [0.0; 2], m: [[0.0; 2]; 2] };
        }
        let [x, y] = [v[0] / d, v[1] / d];
        let bend = residual / d;
        let m = [
            [x * x + bend * y * y, (1.0 - bend) * x * y],
            [(1.0 - bend) * x * y, y * y + bend * x * x],
        ];
        Share { residual, unit: [x, y], m }
    }

    /// Half the sum of squares, its gradient and its matrix of second derivatives.
    fn system(&self, points: &[[f64; 2]]) -> (f64, [f64; 3], Lower) {
        let (mut half, mut g, mut h) = (0.0, [0.0; 3], [[0.0; 3]; 3]);
        for &p in points {
            let s = self.share(p);
            half += 0.5 * s.residual * s.residual;
            g[0] -= s.residual * s.unit[0];
            g[1] -= s.residual * s.unit[1];
            g[2] -= s.residual;
            h[0][0] += s.m[0][0];
            h[1][0] += s.m[1][0];
            h[1][1] += s.m[1][1];
            h[2][0] += s.unit[0];
            h[2][1] += s.unit[1];
            h[2][2] += 1.0;
        }
        (half, g, h)
    }

    fn moved(&self, by: [f64; 3]) -> Arc {
        Arc {
            centre: [self.centre[0] + by[0], self.centre[1] + by[1]],
            radius: self.radius + by[2],
        }
    }

    /// Half the sum of squares.
    pub(super) fn half(&self, points: &[[f64; 2]]) -> f64 {
        self.system(points).0
    }

    /// Root mean square of the distances from it.
    pub(super) fn rms(&self, points: &[[f64; 2]]) -> f64 {
        let count = points.iter().fold(0.0, |n, _| n + 1.0);
        (2.0 * self.half(points) / count).sqrt()
    }

    /// The root of the matrix of second derivatives; `None` where this is no minimum.
    pub(super) fn root(&self, points: &[[f64; 2]]) -> Option<Lower> {
        cholesky(self.system(points).2, 0.0)
    }

    /// Goes down to a minimum of the sum of squares: Newton's steps, damped while they do not
    /// improve (Levenberg and Marquardt), then a few undamped ones to the last digit.
    pub(super) fn refined(self, points: &[[f64; 2]]) -> Option<Arc> {
        let mut arc = self;
        let mut damping = 0.0;
        for _ in 0..200 {
            let (half, g, h) = arc.system(points);
            let mut better = None;
            for _ in 0..60 {
                if let Some(root) = cholesky(h, damping) {
                    let trial = arc.moved(solve(&root, g.map(|x| -x)));
                    if trial.radius > 0.0 && trial.half(points) < half {
                        better = Some(trial);
                        break;
                    }
                }
                damping = if damping > 0.0 { 4.0 * damping } else { 1e-6 };
                if damping > 1e18 {
                    break;
                }
            }
            let Some(trial) = better else { break };
            let gain = half - trial.half(points);
            arc = trial;
            damping = if damping > 1e-9 { 0.1 * damping } else { 0.0 };
            if gain <= 1e-13 * half {
                break;
            }
        }
        // The sum of squares no longer tells which step is better; the length of the step does.
        let mut length = f64::INFINITY;
        for _ in 0..20 {
            let (_, g, h) = arc.system(points);
            let by = solve(&cholesky(h, 0.0)?, g.map(|x| -x));
            let step = by.iter().fold(0.0, |m: f64, x| m.max(x.abs()));
            // Also where it is not a number.
            let shorter = step < 0.9 * length;
            if !shorter {
                break;
            }
            arc = arc.moved(by);
            length = step;
        }
        // A minimum is reached where steps have shrunk to rounding errors.
        (arc.radius > 0.0 && length <= 1e-6 * (1.0 + arc.radius)).then_some(arc)
    }
}

/// The circle through three points.
pub(super) fn through(p: [[f64; 2]; 3]) -> Option<Arc> {
    let [a, b] = [[p[1][0] - p[0][0], p[1][1] - p[0][1]], [p[2][0] - p[0][0], p[2][1] - p[0][1]]];
    let twice = 2.0 * (a[0] * b[1] - a[1] * b[0]);
    let (aa, bb) = (a[0] * a[0] + a[1] * a[1], b[0] * b[0] + b[1] * b[1]);
    let to = [(b[1] * aa - a[1] * bb) / twice, (a[0] * bb - b[0] * aa) / twice];
    let radius = libm::hypot(to[0], to[1]);
    let centre = [p[0][0] + to[0], p[0][1] + to[1]];
    (radius.is_finite() && radius > 0.0).then_some(Arc { centre, radius })
}

/// Circles about the centroid and about centres all around it, near and far, each with the mean
/// distance as radius.
pub(super) fn around(points: &[[f64; 2]]) -> impl Iterator<Item = Arc> {
    let ways = (0..8).map(|k| {
        let angle = std::f64::consts::FRAC_PI_4 * f64::from(k);
        [libm::cos(angle), libm::sin(angle)]
    });
    let centres = ways.flat_map(|[x, y]| [0.5, 2.0, 8.0].map(|far| [far * x, far * y]));
    std::iter::once([0.0; 2]).chain(centres).filter_map(|centre| {
        let at = Arc { centre, radius: 0.0 };
        let (sum, count) =
            points.iter().fold((0.0, 0.0), |(s, n), p| (s + at.share(*p).residual, n + 1.0));
        let radius = sum / count;
        (radius > 0.0).then_some(Arc { centre, radius })
    })
}

/// The algebraic circles of Kåsa (IEEE Trans. Instrum. Meas. 25 (1976) 8) and of Pratt (Computer
/// Graphics 21 (1987) 145), by Newton's method on the characteristic polynomial of the moments (N.
/// Chernov, Circular and Linear Regression, CRC 2011). Kåsa's is the one at 0.
pub(super) fn starts(points: &[[f64; 2]]) -> [Option<Arc>; 2] {
    let mut n = 0.0;
    let [mut xx, mut xy, mut yy, mut xz, mut yz, mut zz] = [0.0; 6];
    for [x, y] in points {
        let z = x * x + y * y;
        n += 1.0;
        xx += x * x;
        xy += x * y;
        yy += y * y;
        xz += x * z;
        yz += y * z;
        zz += z * z;
    }
    let [xx, xy, yy, xz, yz, zz] = [xx / n, xy / n, yy / n, xz / n, yz / n, zz / n];
    let z = xx + yy;
    let det = xx * yy - xy * xy;
    let c2 = 4.0 * det - 3.0 * z * z - zz;
    let c1 = zz * z + 4.0 * det * z - xz * xz - yz * yz - z * z * z;
    let c0 = xz * xz * yy + yz * yz * xx - zz * det - 2.0 * xz * yz * xy + z * z * det;
    let mut root = 0.0;
    let mut value = f64::INFINITY;
    for _ in 0..50 {
        let f = c0 + root * (c1 + root * (c2 + 4.0 * root * root));
        let slope = c1 + root * (2.0 * c2 + 16.0 * root * root);
        let next = root - f / slope;
        let onward = f.abs() < value && next >= 0.0;
        if !onward {
            break;
        }
        value = f.abs();
        root = next;
    }
    let at = |root: f64| {
        let twice = 2.0 * (root * root - root * z + det);
        let centre = [(xz * (yy - root) - yz * xy) / twice, (yz * (xx - root) - xz * xy) / twice];
        let square = centre[0] * centre[0] + centre[1] * centre[1] + z + 2.0 * root;
        (square.is_finite() && square > 0.0).then_some(Arc { centre, radius: square.sqrt() })
    };
    [at(0.0), at(root)]
}

/// The root L of H + damping·diag(H) = L Lᵀ, or `None` where that is not positive definite.
fn cholesky(h: Lower, damping: f64) -> Option<Lower> {
    let pivot = |on: f64, taken: f64| {
        let left = on + damping * on.abs().max(1.0) - taken;
        (left > 0.0 && left.is_finite()).then(|| left.sqrt())
    };
    let a = pivot(h[0][0], 0.0)?;
    let (b, d) = (h[1][0] / a, h[2][0] / a);
    let c = pivot(h[1][1], b * b)?;
    let e = (h[2][1] - b * d) / c;
    let f = pivot(h[2][2], d * d + e * e)?;
    Some([[a, 0.0, 0.0], [b, c, 0.0], [d, e, f]])
}

/// Solves L Lᵀ x = b.
pub(super) fn solve([[a, ..], [b, c, _], [d, e, f]]: &Lower, [x, y, z]: [f64; 3]) -> [f64; 3] {
    let x = x / a;
    let y = (y - b * x) / c;
    let z = (z - d * x - e * y) / f / f;
    let y = (y - e * z) / c;
    [(x - b * y - d * z) / a, y, z]
}
