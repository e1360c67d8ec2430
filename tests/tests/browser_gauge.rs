//! The gauge by a simulated serial port and by keystrokes at its pace: the page's own code takes what
//! comes, chopped, delayed, doubled and damaged.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    reason = "a test fails by panicking"
)]

use fantoccini::key::Key;
use quarterturn_core::Job;
use quarterturn_core::job::{self, Kind, Touch};
use quarterturn_tests::{Browser, Server, User, run, run_within};
use serde_json::json;
use std::time::{Duration, Instant};

/// A serial port as a browser gives it (Web Serial), with what the test does to it in `sim`.
const PORT: &str = r"
(() => {
  const serial = new EventTarget();
  const sim = { opened: [], sent: '', plugged: true, allowed: false };
  let controller = null;
  const port = {
    readable: null, writable: null,
    async open(settings) {
      if (!sim.plugged) throw new DOMException('Failed to open serial port.', 'NetworkError');
      if (port.readable) throw new DOMException('The port is already open.', 'InvalidStateError');
      sim.opened.push(settings);
      const fresh = () => { port.readable = new ReadableStream({ start(c) { controller = c }, cancel() { } }) };
      sim.fresh = fresh;
      fresh();
      port.writable = new WritableStream({ write(bytes) { sim.sent += new TextDecoder().decode(bytes) } });
    },
    async close() { port.readable = null; port.writable = null; controller = null },
  };
  serial.requestPort = async () => { sim.allowed = true; return port };
  serial.getPorts = async () => sim.allowed ? [port] : [];
  // Bytes come.
  sim.push = text => controller.enqueue(Uint8Array.from(text, c => c.charCodeAt(0)));
  // A parity or framing error: the stream ends with it, and the port gives another one.
  sim.fault = name => { const broken = controller; sim.fresh(); broken.error(new DOMException('', name)) };
  sim.unplug = () => { sim.plugged = false; const broken = controller; port.readable = null; broken.error(new DOMException('The device has been lost.', 'NetworkError')) };
  sim.plug = () => { sim.plugged = true; serial.dispatchEvent(new Event('connect')) };
  Object.defineProperty(navigator, 'serial', { value: serial });
  window.sim = sim;
})();";

/// Bores of the job.
const BORES: usize = 40;

/// The notebook's first bore many times over.
fn unmeasured() -> Job {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/notebooks/1-mast-adapter-plate.json");
    let mut job = job::read(&std::fs::read_to_string(path).unwrap()).unwrap();
    for piece in &mut job.pieces {
        piece.readings.clear();
        piece.zero_checks.clear();
    }
    job.record.clear();
    let bore = job.drawing.features.iter().find(|f| f.kind == Kind::Hole).unwrap().clone();
    let more = (0..BORES).map(|i| {
        let mut bore = bore.clone();
        bore.number = format!("{}", 101 + i);
        bore
    });
    job.drawing.features.splice(0..0, more);
    job
}

/// The readings as the gauge sends them, each another one.
fn heights() -> Vec<String> {
    (0..BORES)
        .flat_map(|i| [0.5600 + 1e-5 * i as f64, 0.9368 + 1e-5 * i as f64])
        .map(|h| format!("{h:.5}"))
        .collect()
}

/// The readings of a job in the order of the touches.
fn taken(job: &Job) -> Vec<String> {
    let orientation = job.plan.orientations[0].number;
    let mut taken = Vec::new();
    for feature in &job.drawing.features {
        for touch in [Touch::Low, Touch::High] {
            let reading = job.pieces[0]
                .readings
                .iter()
                .find(|r| r.orientation == orientation && r.feature == feature.number);
            taken.extend(
                reading.iter().flat_map(|r| r.values(touch)).map(|v| format!("{:.5}", v.0)),
            );
        }
    }
    taken
}

/// A user at the bench with the simulated port.
async fn at_the_bench() -> User {
    let (server, browser) = (Server::start(), Browser::start(1366, 768).await);
    browser.asks_devtools("Page.addScriptToEvaluateOnNewDocument", json!({ "source": PORT })).await;
    let user = User { browser, server };
    user.opens_the_page().await;
    user.waits_to_read("xample").await;
    user.drops_a_file("job.json", &job::write_compact(&unmeasured())).await;
    user.waits_to_read("WX-1140").await;
    user.listens_for_errors().await;
    user.goes_to('2', "Bench").await;
    user.waits_for(".bench-field").await;
    user.settles().await;
    user
}

/// Opens the port by the panel, as a user does.
async fn connects(user: &User) {
    user.holds(&[Key::Alt], 'g').await;
    user.waits_to_read("Not connected").await;
    user.presses(Key::Enter).await;
    user.waits_to_read("Connected, 9600 8N1").await;
    user.presses(Key::Escape).await;
    // Reading begins within a line, as far as anyone knows, until the line was silent.
    tokio::time::sleep(Duration::from_millis(150)).await;
}

/// A line typed by a gauge: all in one go, its end included.
async fn typed(user: &User, line: &str, end: Key) {
    user.types(&format!("{line}{}", char::from(end))).await;
}

async fn pushes(user: &User, text: &str) {
    user.runs(&format!("sim.push({text:?})")).await;
}

/// Waits until so many readings are there.
async fn waits_for_readings(user: &User, count: usize) -> Vec<String> {
    let mut there = Vec::new();
    for _ in 0..100 {
        there = taken(&user.kept_job().await);
        if there.len() >= count {
            break;
        }
        tokio::time::sleep(Duration::from_millis(30)).await;
    }
    there
}

#[test]
fn readings_by_a_serial_line_are_taken_one_touch_after_the_other() {
    run_within(240, async {
        let user = at_the_bench().await;
        connects(&user).await;
        let heights = heights();
        // Whole, chopped, two in one piece, with each end and each way to write a number.
        pushes(&user, &format!("+{}\r\n", heights[0])).await;
        let (first, rest) = heights[1].split_at(4);
        pushes(&user, first).await;
        tokio::time::sleep(Duration::from_millis(200)).await;
        pushes(&user, &format!("{rest}\r")).await;
        tokio::time::sleep(Duration::from_millis(30)).await;
        pushes(&user, &format!("\n  +000{} in\n{}\"\r\n", heights[2], heights[3])).await;
        pushes(&user, &format!("{}\r\n", heights[4].replace('.', ","))).await;
        assert_eq!(waits_for_readings(&user, 5).await, heights[..5]);
        // The press of a foot switch that bounced is one reading.
        let line = format!("{}\\r\\n", heights[5]);
        user.runs(&format!("sim.push('{line}'); setTimeout(() => sim.push('{line}'), 60)")).await;
        tokio::time::sleep(Duration::from_millis(500)).await;
        assert_eq!(waits_for_readings(&user, 6).await, heights[..6]);
        // An error message is said and is no reading; so is what a parity error left of a line.
        pushes(&user, "ERR 0.000\r\n").await;
        user.waits_to_read("“ERR” is not known").await;
        user.runs("sim.push('0.93'); sim.fault('ParityError'); sim.push('683\\r\\n')").await;
        user.waits_to_read("Part of the line is missing").await;
        tokio::time::sleep(Duration::from_millis(100)).await;
        assert_eq!(taken(&user.kept_job().await), heights[..6]);
        // The device is pulled out and put back: no click.
        user.runs("sim.unplug()").await;
        tokio::time::sleep(Duration::from_millis(100)).await;
        user.runs("sim.plug()").await;
        tokio::time::sleep(Duration::from_millis(250)).await;
        pushes(&user, &format!("{}\r\n", heights[6])).await;
        assert_eq!(waits_for_readings(&user, 7).await, heights[..7]);
        // In another field the reading still goes to the touch, and the field keeps what stands in it.
        user.holds(&[Key::Alt], 'g').await;
        user.waits_to_read("How a line is read").await;
        pushes(&user, &format!("{}\r\n", heights[7])).await;
        assert_eq!(waits_for_readings(&user, 8).await, heights[..8]);
        user.shot("gauge").await;
        // Every line is kept as it came.
        let lines = user
            .runs_until_done(
                "const opening = indexedDB.open('quarterturn'); \
                 opening.onsuccess = () => { \
                     const all = opening.result.transaction('lines').objectStore('lines').getAll(); \
                     all.onsuccess = () => { opening.result.close(); done(all.result.join('\\n')) } }",
            )
            .await;
        let lines = lines.as_str().unwrap();
        for came in ["ERR 0.000", "\"line\":\"0.93\"", "\"line\":\"683\"", "sent twice"] {
            assert!(lines.contains(came), "{came} is not among {lines}");
        }
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

#[test]
fn the_rule_is_changed_beside_the_line_that_was_not_understood() {
    run(async {
        let user = at_the_bench().await;
        connects(&user).await;
        let heights = heights();
        pushes(&user, &format!("01A+{}\r\n", heights[0])).await;
        user.waits_to_read("not known").await;
        user.holds(&[Key::Alt], 'g').await;
        user.tabs_to("Accept “01A”").await;
        user.presses(Key::Enter).await;
        user.presses(Key::Escape).await;
        pushes(&user, &format!("02A+{}\r\n", heights[0])).await;
        pushes(&user, &format!("01A+{}\r\n", heights[1])).await;
        assert_eq!(waits_for_readings(&user, 2).await, heights[..2]);
        // It is remembered, and the port is opened again without a click where the browser allows it.
        let settings = user.runs("return localStorage.getItem('quarterturn.gauge')").await;
        assert!(settings.as_str().unwrap().contains("##A"), "{settings}");
    });
}

#[test]
fn a_gauge_that_types_is_told_from_a_hand_and_loses_nothing() {
    run(async {
        let user = at_the_bench().await;
        let heights = heights();
        // Into the field, where half a number was typed by hand.
        for c in [".", "1"] {
            user.types(c).await;
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        typed(&user, &heights[0].replace('.', ","), Key::Enter).await;
        assert_eq!(waits_for_readings(&user, 1).await, heights[..1]);
        // Ended by Tab, with the focus on a button.
        user.runs("document.querySelector('.jobs-button').focus()").await;
        typed(&user, &heights[1], Key::Tab).await;
        assert_eq!(waits_for_readings(&user, 2).await, heights[..2]);
        // Into a field for words, which keeps its own.
        user.holds(&[Key::Alt], 'p').await;
        user.waits_to_read("Serial number").await;
        for c in ["7", "7"] {
            user.types(c).await;
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        typed(&user, &heights[2], Key::Enter).await;
        assert_eq!(waits_for_readings(&user, 3).await, heights[..3]);
        let serial = user.runs("return document.querySelector('#piece-panel input').value").await;
        assert_eq!(serial, "77");
        user.presses(Key::Escape).await;
        user.presses(Key::Escape).await;
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}

/// How fast readings can come without one being lost, and how long a reading takes to the screen and to
/// the disk; the figures are printed.
#[test]
fn readings_as_fast_as_a_gauge_can_send_are_all_taken() {
    run_within(240, async {
        let user = at_the_bench().await;
        connects(&user).await;
        let heights = heights();
        // From the last byte to the number in the table, and to 'kept', in the page's own time.
        let script = format!(
            "const lines = {heights:?}; const shown = [], kept = []; const began = performance.now(); \
             const text = () => document.querySelector('.foot').innerText; \
             const next = () => document.getElementById('bench-next').textContent; \
             (async () => {{ for (let i = 0; i < lines.length; i++) {{ \
                 const before = next(); \
                 const at = performance.now(); sim.push(lines[i] + '\\r\\n'); \
                 while (next() === before) await new Promise(ok => setTimeout(ok)); \
                 shown.push(performance.now() - at); \
                 while (!text().includes('all changes kept')) await new Promise(ok => setTimeout(ok)); \
                 kept.push(performance.now() - at); }} \
               done([shown, kept, performance.now() - began]) }})()"
        );
        let began = Instant::now();
        let times = user.runs_until_done(&script).await;
        let sorted = |i: usize| {
            let mut all: Vec<f64> =
                times[i].as_array().unwrap().iter().map(|t| t.as_f64().unwrap()).collect();
            all.sort_by(f64::total_cmp);
            all
        };
        let (shown, kept) = (sorted(0), sorted(1));
        let p95 = |all: &[f64]| all[all.len() * 95 / 100];
        println!(
            "{} readings in {:.1} s, {:.0} a minute; from the last byte to the screen 95 % within {:.0} ms, to \
             'kept' {:.0} ms",
            heights.len(),
            began.elapsed().as_secs_f64(),
            60_000.0 * heights.len() as f64 / times[2].as_f64().unwrap(),
            p95(&shown),
            p95(&kept)
        );
        assert_eq!(taken(&user.kept_job().await), heights);
        assert_eq!(user.errors().await, Vec::<String>::new());
    });
}
