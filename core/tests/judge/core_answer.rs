//! The core's answer, read from the findings as they are printed, in the form of the judge's.

use super::answer::{
    Answer, FeatureAnswer, PatternAnswer, PositionAnswer, RelationAnswer, Verdict,
};
use serde_json::Value;

fn verdict(v: &Value) -> Verdict {
    match v.as_str().unwrap_or_default() {
        "nothing_asked" => Verdict::NothingAsked,
        "conforms" => Verdict::Conforms,
        "does_not_conform" => Verdict::DoesNotConform,
        "not_proven" => Verdict::NotProven,
        "not_measured" => Verdict::NotMeasured,
        "cannot_be_judged" | "unjudged" => Verdict::CannotBeJudged,
        other => panic!("verdict {other}"),
    }
}

fn list(v: &Value) -> &[Value] {
    v.as_array().map_or(&[], Vec::as_slice)
}

/// Evaluates a job file with the core; the first piece's answer.
pub(crate) fn answer(text: &str) -> Result<Answer, String> {
    let job = quarterturn_core::job::read(text).map_err(|e| e.to_string())?;
    let findings = quarterturn_core::evaluate(&job);
    let findings = serde_json::to_value(&findings).map_err(|e| e.to_string())?;
    let piece = &findings["pieces"][0];
    let features = list(&piece["features"])
        .iter()
        .map(|f| FeatureAnswer {
            number: f["number"].as_str().unwrap_or_default().to_owned(),
            sizes: list(&f["size"]["seen"]).iter().filter_map(|s| s["size"].as_f64()).collect(),
            size_margin: f["size"]["margin"].as_f64(),
            size_verdict: verdict(&f["size"]["verdict"]),
            positions: std::iter::once(&f["position"])
                .chain(list(&f["further"]))
                .filter(|p| !p.is_null())
                .map(position)
                .collect(),
            // Readings that contradict each other widen the core's by a factor.
            variance: [0, 1].map(|a| {
                let factor = piece["measurement"]["variance_factor"].as_f64().unwrap_or(1.0);
                f["covariance"][a][a].as_f64().filter(|_| factor <= 1.0)
            }),
            verdict: verdict(&f["verdict"]),
        })
        .collect();
    let patterns = list(&piece["patterns"])
        .iter()
        .map(|p| PatternAnswer {
            datums: list(&p["datums"])
                .iter()
                .filter_map(|d| d.as_str().map(str::to_owned))
                .collect(),
            lower: p["lower"].as_bool().unwrap_or_default(),
            members: indices(&p["members"]),
            missing: indices(&p["missing"]),
            margin: p["margin"].as_f64(),
            no_room: false,
            verdict: verdict(&p["verdict"]),
            unsure: false,
        })
        .collect();
    let relations = list(&piece["lines"])
        .iter()
        .map(|l| RelationAnswer {
            measured: l["measured"].as_f64(),
            margin: l["margin"].as_f64(),
            verdict: verdict(&l["verdict"]),
            skipped: false,
        })
        .collect();
    Ok(Answer { features, patterns, relations })
}

fn indices(v: &Value) -> Vec<usize> {
    list(v).iter().filter_map(|i| i.as_u64().map(|i| i as usize)).collect()
}

fn position(p: &Value) -> PositionAnswer {
    let number = |v: &Value| v.as_u64().map_or(0, |v| v as usize);
    let shifted = !p["shifted"].is_null();
    let deviation = [0, 1].map(|a| if shifted { None } else { p["deviation"][a].as_f64() });
    PositionAnswer {
        callout: number(&p["segment"]["callout"]),
        segment: number(&p["segment"]["number"]),
        deviation,
        bonus: p["bonus"]["earned"]["bonus"].as_f64(),
        allowed: p["allowed"].as_f64(),
        margin: p["margin"].as_f64(),
        pattern: shifted.then(|| number(&p["shifted"]["pattern"])),
        verdict: verdict(&p["verdict"]),
    }
}
