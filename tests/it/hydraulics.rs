//! Flow in pipes: against another's formulas, and at its edges. What others printed is in `published.rs`.

use crate::record::project;
use fallmark::compute::formula::Pipe;
use fallmark::compute::formula::Wall;
use fallmark::compute::formula::greatest::greatest;
use fallmark::compute::formula::normal_depth::Running;
use fallmark::compute::formula::normal_depth::running;
use fallmark::compute::formula::waste_water::total_l_s;
use fallmark::compute::formula::waste_water::waste_water_l_s;
use serde_json::Value as Json;
use serde_json::json;
use std::io::Write;
use std::path::PathBuf;
use std::process::Command;
use std::process::Stdio;

pub fn colebrook(bore_m: f64, slope: f64, roughness_m: f64, viscosity_m2_s: f64) -> Pipe {
    Pipe { bore_m, slope, wall: Wall::ColebrookWhite { roughness_m, viscosity_m2_s } }
}

pub fn manning(bore_m: f64, slope: f64, n: f64) -> Pipe {
    Pipe { bore_m, slope, wall: Wall::Manning { n } }
}

// Against the package fluids

/// What is asked of the other, and what this program says.
struct Point {
    asked: Json,
    ours: f64,
}

const BORES: [f64; 6] = [0.0285, 0.0392, 0.076, 0.1, 0.1036, 0.152];
const SLOPES: [f64; 8] =
    [1.0 / 10.0, 1.0 / 20.0, 1.0 / 40.0, 1.0 / 60.0, 1.0 / 80.0, 1.0 / 110.0, 1.0 / 150.0, 1.0 / 400.0];
const WALLS: [(f64, f64); 4] = [(0.000_06, 1.141e-6), (0.0006, 1.141e-6), (0.001, 1.31e-6), (0.0015, 1.31e-6)];
const FILLINGS: [f64; 9] = [0.1, 0.2, 1.0 / 3.0, 0.5, 0.6, 0.7, 0.75, 0.85, 0.93];

fn points() -> Vec<Point> {
    let mut all = Vec::new();
    for (d, s) in BORES.iter().flat_map(|d| SLOPES.iter().map(move |s| (*d, *s))) {
        for (ks, nu) in WALLS {
            let pipe = colebrook(d, s, ks, nu);
            all.push(Point { asked: json!(["full", d, s, ks, nu]), ours: pipe.velocity_m_s(1.0) });
        }
        let (ks, nu) = WALLS[2];
        let pipe = colebrook(d, s, ks, nu);
        let by_manning = manning(d, s, 0.011);
        for x in FILLINGS {
            all.push(Point { asked: json!(["part", d, s, ks, nu, x]), ours: pipe.discharge_m3_s(x) });
            all.push(Point { asked: json!(["manning", d, s, 0.011, x]), ours: by_manning.discharge_m3_s(x) });
        }
        for share in [0.05, 0.3, 0.8, 1.0] {
            let flow = share * pipe.discharge_m3_s(1.0);
            all.push(Point { asked: json!(["depth", d, s, ks, nu, flow]), ours: filling(&pipe, flow) });
            let flow = share * by_manning.discharge_m3_s(1.0);
            all.push(Point { asked: json!(["depth manning", d, s, 0.011, flow]), ours: filling(&by_manning, flow) });
        }
        all.push(Point { asked: json!(["most", d, s, ks, nu]), ours: greatest(&pipe).discharge_m3_s });
    }
    for (k, sum) in [(0.5, 9.5), (0.5, 5.5), (0.7, 40.0), (1.0, 12.3), (1.2, 3.0)] {
        all.push(Point { asked: json!(["units", k, sum]), ours: waste_water_l_s(k, sum, 0.0) });
    }
    all
}

fn filling(pipe: &Pipe, flow: f64) -> f64 {
    match running(pipe, flow) {
        Running::PartFull { filling, .. } => filling,
        other => panic!("{other:?} for {flow} in {pipe:?}"),
    }
}

fn ask(points: &[Point]) -> Vec<Json> {
    let python = std::env::var_os("FALLMARK_PYTHON").map_or_else(|| project("target/venv/bin/python"), PathBuf::from);
    let mut child = Command::new(&python)
        .arg(project("tests/hydraulics/other.py"))
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .unwrap_or_else(|e| panic!("no Python at {}: {e}. Run `bash .ci/prepare` once", python.display()));
    let asked: Vec<&Json> = points.iter().map(|p| &p.asked).collect();
    child.stdin.take().unwrap().write_all(json!(asked).to_string().as_bytes()).unwrap();
    let out = child.wait_with_output().unwrap();
    assert!(out.status.success(), "the other's formulas failed; `bash .ci/prepare` installs what they need");
    serde_json::from_slice(&out.stdout).unwrap()
}

#[test]
fn another_s_formulas_give_the_same() {
    let points = points();
    let theirs = ask(&points);
    assert_eq!(points.len(), theirs.len());
    assert!(points.len() >= 300);
    let mut furthest = (0.0, Json::Null);
    for (point, theirs) in points.iter().zip(&theirs) {
        let theirs = theirs.as_f64().or_else(|| theirs.get(1)?.as_f64()).unwrap();
        let off = (point.ours / theirs - 1.0).abs();
        assert!(off < 0.001, "{}: {} and {theirs}", point.asked, point.ours);
        if off > furthest.0 {
            furthest = (off, point.asked.clone());
        }
    }
    println!("{} points, furthest off {:e} at {}", points.len(), furthest.0, furthest.1);
    for (point, theirs) in points.iter().zip(&theirs).filter(|(p, _)| p.asked[0] == "most") {
        let number = |i: usize| point.asked[i].as_f64().unwrap();
        let pipe = colebrook(number(1), number(2), number(3), number(4));
        let (ours, theirs) = (greatest(&pipe).filling, theirs[0].as_f64().unwrap());
        assert!((ours - theirs).abs() < 0.0001, "{pipe:?}: {ours} and {theirs}");
    }
}

// At the edges

fn finite(running: Running) -> bool {
    match running {
        Running::PartFull { filling, velocity_m_s } => filling.is_finite() && velocity_m_s.is_finite(),
        Running::Dry | Running::Standing | Running::Surcharged => true,
    }
}

#[test]
fn level_backfall_no_flow_and_no_pipe_give_an_answer() {
    for bore in [0.0, -0.1, 0.1] {
        for slope in [0.0, -0.0125, 1e-300, 0.0125, 1e9] {
            for pipe in
                [colebrook(bore, slope, 0.001, 1.31e-6), colebrook(bore, slope, 0.0, 0.0), manning(bore, slope, 0.0)]
            {
                for x in [-1.0, 0.0, 1e-12, 0.5, 1.0, 2.0] {
                    assert!(pipe.velocity_m_s(x).is_finite() && pipe.velocity_m_s(x) >= 0.0, "{pipe:?} at {x}");
                    assert!(pipe.discharge_m3_s(x).is_finite() && pipe.discharge_m3_s(x) >= 0.0, "{pipe:?} at {x}");
                }
                assert_eq!(running(&pipe, 0.0), Running::Dry);
                assert_eq!(running(&pipe, -1.0), Running::Dry);
                assert!(finite(running(&pipe, 0.001)), "{pipe:?}");
            }
        }
    }
    for slope in [0.0, -0.0125] {
        assert_eq!(running(&colebrook(0.1, slope, 0.001, 1.31e-6), 0.0017), Running::Standing);
        assert_eq!(running(&manning(0.1, slope, 0.011), 0.0017), Running::Standing);
    }
    let pipe = colebrook(0.1, 1.0 / 80.0, 0.001, 1.31e-6);
    assert_eq!(running(&pipe, 1.001 * greatest(&pipe).discharge_m3_s), Running::Surcharged);
    assert!(waste_water_l_s(0.5, 0.0, 0.0).abs() < 1e-12 && waste_water_l_s(0.5, -1.0, -1.0).abs() < 1e-12);
    assert!((total_l_s(1.7, 0.1, 1.0) - 2.8).abs() < 1e-12);
}

#[test]
fn more_gradient_bore_depth_or_flow_is_never_less() {
    let mut last = [0.0; 4];
    for step in 1..=900_u32 {
        let n = f64::from(step);
        let now = [
            colebrook(0.1, n / 5000.0, 0.001, 1.31e-6).velocity_m_s(1.0),
            colebrook(0.02 + n / 3000.0, 0.0125, 0.001, 1.31e-6).discharge_m3_s(0.75),
            colebrook(0.1, 0.0125, 0.001, 1.31e-6).discharge_m3_s(0.937 * n / 900.0),
            filling(&colebrook(0.1, 0.0125, 0.001, 1.31e-6), n * 0.000_007),
        ];
        assert!(now.iter().zip(last).all(|(now, last)| *now >= last), "step {step}: {last:?}, then {now:?}");
        last = now;
    }
}

/// Over every wall and bore in use, level and backwards included: a steeper pipe and a wider one never carry less, and
/// a steeper one never runs slower, full or three quarters full.
#[test]
fn steeper_or_wider_never_carries_less_nor_runs_slower() {
    let slopes: Vec<f64> = (-2..=60).map(|n| f64::from(n) / 600.0).collect();
    let bores: Vec<f64> = (0..=60).map(|n| 0.02 + f64::from(n) / 200.0).collect();
    let never_less = |last: f64, now: f64, what: &str| assert!(now >= last, "{what}: {last}, then {now}");
    type Make = fn(f64, f64) -> Pipe;
    let makes: [Make; 5] = [
        |d, s| colebrook(d, s, 0.000_06, 1.141e-6),
        |d, s| colebrook(d, s, 0.0006, 1.141e-6),
        |d, s| colebrook(d, s, 0.001, 1.31e-6),
        |d, s| colebrook(d, s, 0.0015, 1.31e-6),
        |d, s| manning(d, s, 0.011),
    ];
    for (make, filling) in makes.into_iter().flat_map(|make| [0.75, 1.0].map(|x| (make, x))) {
        for d in &bores {
            for pair in slopes.windows(2) {
                let (flat, steep) = (make(*d, pair[0]), make(*d, pair[1]));
                never_less(flat.discharge_m3_s(filling), steep.discharge_m3_s(filling), "steeper, flow");
                never_less(flat.velocity_m_s(filling), steep.velocity_m_s(filling), "steeper, velocity");
            }
        }
        for s in &slopes {
            for pair in bores.windows(2) {
                let (narrow, wide) = (make(pair[0], *s), make(pair[1], *s));
                never_less(narrow.discharge_m3_s(filling), wide.discharge_m3_s(filling), "wider, flow");
            }
        }
    }
}

#[test]
fn the_depth_that_is_found_carries_the_flow() {
    for bore in [0.05, 0.1036, 0.152, 0.3] {
        for pipe in [colebrook(bore, 0.0125, 0.001, 1.31e-6), manning(bore, 0.004, 0.013)] {
            for share in [0.001, 0.01, 0.2, 0.5, 0.999, 1.0, 1.05] {
                let flow = share * pipe.discharge_m3_s(1.0);
                let back = pipe.discharge_m3_s(filling(&pipe, flow));
                assert!((back / flow - 1.0).abs() < 1e-9, "{pipe:?} with {flow}: {back}");
            }
        }
    }
}

#[test]
fn a_pipe_carries_most_a_little_short_of_full() {
    // Drains in use: bores of 75 mm and more, walls of 0.6 to 1.5 mm.
    for (bore, slope) in BORES.iter().skip(2).flat_map(|b| SLOPES.iter().map(move |s| (*b, *s))) {
        for (ks, nu) in WALLS.into_iter().skip(1) {
            let pipe = colebrook(bore, slope, ks, nu);
            let most = greatest(&pipe);
            let thousandths = (most.filling * 1000.0).round() as i64;
            assert!((936..=940).contains(&thousandths), "{pipe:?}: {most:?}");
        }
    }
    let pipe = manning(0.1, 0.0125, 0.011);
    let most = greatest(&pipe);
    assert!((most.filling - 0.938).abs() < 0.0005);
    assert!((most.discharge_m3_s / pipe.discharge_m3_s(1.0) - 1.0757).abs() < 0.0001);
}
