//! Check values. None with published digits was found; these were computed independently, and
//! each says how.

use crate::fit_common::{Case, certificate, passed};
use quarterturn_core::fit::{Bound, Fit, Freedom, Member, Turn, Unfit, Zone, fit};

const CORNERS: [[f64; 2]; 4] = [[0.0, 0.0], [80.0, 0.0], [80.0, 50.0], [0.0, 50.0]];
const DEVIATIONS: [[f64; 2]; 4] = [[0.03, 0.01], [-0.02, 0.04], [0.01, -0.05], [-0.03, -0.01]];

fn corners(radius: f64) -> Vec<Member> {
    CORNERS
        .iter()
        .zip(DEVIATIONS)
        .map(|(n, d)| Member {
            nominal: *n,
            measured: [n[0] + d[0], n[1] + d[1]],
            zone: Zone::Round { radius },
        })
        .collect()
}

fn near(found: f64, wanted: f64, within: f64) {
    assert!((found - wanted).abs() <= within, "{found} is not {wanted}");
}

/// The fit, its certificate drawn up again.
fn certified(members: &[Member], bounds: &[Bound], freedom: Freedom) -> Result<Fit, Unfit> {
    let found = fit(members, bounds, freedom)?;
    let case = Case { members: members.to_vec(), bounds: bounds.to_vec(), freedom, size: 0.05 };
    let (imbalance, gap) = certificate(&case, &found);
    assert!(imbalance < 1e-12 && gap.abs() < 1e-14 && passed(&case, &found) < 1e-13);
    Ok(found)
}

/// Diameters of the deviations left.
fn diameters(found: &Fit, members: &[Member]) -> Vec<f64> {
    members.iter().map(|m| 2.0 * m.zone.distance(found.deviation(m.nominal, m.measured))).collect()
}

fn all_near(found: &[f64], wanted: &[f64], within: f64) {
    assert_eq!(found.len(), wanted.len());
    for (f, w) in found.iter().zip(wanted) {
        near(*f, *w, within);
    }
}

/// Computed independently: smallest enclosing circle of the four deviations, centre
/// (-.005, -.005), through those of the second and third hole.
#[test]
fn moved_but_not_turned() -> Result<(), Unfit> {
    let found = certified(&corners(0.0), &[], Freedom::SLIDING)?;
    near(2.0 * found.s(), 0.094_868_329_8, 5e-11);
    all_near(&found.shift(), &[0.005, 0.005], 1e-12);
    near(found.turn(), 0.0, 0.0);
    let held: Vec<usize> = found.certificate().members.iter().map(|h| h.index).collect();
    assert!(held.len() == 2 && held.contains(&1) && held.contains(&2), "{held:?}");
    Ok(())
}

/// Computed independently: linear program with every circle replaced by a polygon of 3600 sides,
/// .0909821 from below; then a general conic solver.
#[test]
fn moved_and_turned() -> Result<(), Unfit> {
    let found = certified(&corners(0.0), &[], Freedom::FREE)?;
    near(2.0 * found.s(), 0.090_984_647_6, 5e-11);
    near(found.turn(), 3.338_952e-4, 5e-11);
    assert!(2.0 * found.s() > 0.090_982_1);
    Ok(())
}

fn four() -> Vec<Member> {
    let nominal = [[20.0, 15.0], [60.0, 15.0], [60.0, 45.0], [20.0, 45.0]];
    let measured = [[20.046, 15.010], [60.031, 15.052], [59.988, 45.040], [20.002, 44.995]];
    let allowed = [0.10, 0.10, 0.11, 0.12];
    (0..4)
        .map(|k| Member {
            nominal: nominal[k],
            measured: measured[k],
            zone: Zone::Round { radius: allowed[k] / 2.0 },
        })
        .collect()
}

fn datums(b: f64, c: f64) -> [Bound; 2] {
    let round = |nominal, measured, shift: f64| {
        Bound::within(nominal, measured, Zone::Round { radius: shift / 2.0 })
    };
    [round([0.0, 0.0], [0.006, -0.004], b), round([80.0, 0.0], [80.010, 0.036], c)]
}

/// Computed with a calculator: 2 sqrt(dx^2 + dy^2).
#[test]
fn judged_where_it_is() -> Result<(), Unfit> {
    let members = four();
    let found = certified(&members, &[], Freedom::LOCKED)?;
    let wanted = [0.094_148_818_4, 0.121_078_486_9, 0.083_522_452_1, 0.010_770_329_6];
    all_near(&diameters(&found, &members), &wanted, 5e-11);
    near(found.s(), 0.121_078_486_9 / 2.0 - 0.05, 5e-11);
    assert!(!found.passes());
    Ok(())
}

/// Computed with a calculator: the datum hole's own deviation taken off every other.
#[test]
fn a_datum_hole_without_shift_fixes_the_origin() -> Result<(), Unfit> {
    let members = four();
    let held = &datums(0.0, 0.0)[..1];
    let found = certified(&members, held, Freedom { turn: Turn::Locked, ..Freedom::FREE })?;
    let wanted = [0.084_758_480_4, 0.122_653_984_9, 0.095_078_914_6, 0.008_246_211_3];
    all_near(&diameters(&found, &members), &wanted, 5e-11);
    near(found.s(), 0.011_326_992_4, 5e-11);
    Ok(())
}

/// Computed independently: a general conic solver, relinearised until the rotation stood still;
/// it gives 1e-8 mm.
#[test]
fn datum_shift() -> Result<(), Unfit> {
    let members = four();
    let found = certified(&members, &datums(0.06, 0.05), Freedom::FREE)?;
    near(found.s(), -0.030_352_009, 1e-8);
    all_near(&found.shift(), &[-0.034_056_673, -0.002_901_031], 2e-8);
    near(found.turn(), -4.990_611_565e-4, 1e-9);
    let wanted = [0.039_295_982, 0.039_295_982, 0.049_295_982, 0.040_607_694];
    all_near(&diameters(&found, &members), &wanted, 2e-8);
    let held: Vec<usize> = found.certificate().bounds.iter().map(|h| h.index).collect();
    assert_eq!(held, [1], "C is on its boundary, B is not");
    assert!(found.passes());

    let found = certified(&members, &datums(0.02, 0.02), Freedom::FREE)?;
    near(found.s(), -0.013_541_917, 1e-8);
    all_near(&found.shift(), &[-0.015_576_292, 0.001_127_539], 2e-8);
    near(found.turn(), -3.923_939_828e-4, 1e-9);
    let wanted = [0.072_916_165, 0.072_916_165, 0.040_368_081, 0.024_827_045];
    all_near(&diameters(&found, &members), &wanted, 2e-8);
    let held: Vec<usize> = found.certificate().bounds.iter().map(|h| h.index).collect();
    assert_eq!(held, [0], "B is on its boundary, C is not");
    Ok(())
}

/// Computed independently: a general conic solver, relinearised until the rotation stood still.
#[test]
fn a_slot_beside_holes() -> Result<(), Unfit> {
    let mut members = corners(0.04);
    members.push(Member {
        nominal: [40.0, 25.0],
        measured: [40.02, 25.03],
        zone: Zone::Planes { normal: [1.0, 0.0], half: 0.025 },
    });
    let found = certified(&members, &[], Freedom::FREE)?;
    near(found.s(), 0.005_492_323_8, 5e-11);
    near(found.turn(), 3.338_952_1e-4, 5e-12);
    all_near(&found.shift(), &[0.013_990_932_8, -0.021_613_604_4], 5e-11);
    Ok(())
}
