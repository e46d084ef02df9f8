//! Records as large as one likes: houses with a stack, five branches, a drain and a chamber each.

use std::fmt::Write;

/// A record of at least so many pipes; levels, joins, photos, closings and tests are those of a real job.
pub fn big_record(pipes: usize) -> String {
    let houses = pipes.div_ceil(8).max(1);
    let mut sections = Sections::default();
    for house in 0..houses {
        sections.house(house, house + 1 == houses);
    }
    sections.whole()
}

#[derive(Default)]
struct Sections {
    levels: String,
    appliances: String,
    pipes: String,
    access: String,
    terminals: String,
    tests: String,
    closings: String,
    photos: String,
}

/// The appliances of a house: letters, trap or outlet, height over the floor, size, fall.
const ROOMS: [(&str, &str, &str, &str, &str); 5] = [
    ("WC", "outlet: 100 mm, seal: 50 mm", "118 mm", "110 mm", "1 in 38"),
    ("BTH", "trap: 40 mm, seal: 50 mm", "62 mm", "40 mm", "22 mm/m"),
    ("WB", "trap: 32 mm, seal: 75 mm", "310 mm", "32 mm", "20 mm/m"),
    ("SK", "trap: 40 mm, seal: 75 mm", "390 mm", "40 mm", "25 mm/m"),
    ("SHR", "trap: 40 mm, seal: 50 mm", "520 mm", "40 mm", "about 1 in 45"),
];

impl Sections {
    fn house(&mut self, n: usize, last: bool) {
        // The main falls 150 mm a house; each chamber's invert is named from the house's own floor.
        let floor = 1_000_000 - 150 * i64::try_from(n).unwrap();
        let level = format!("floor{n}: {}.{:03} m", floor / 1_000, floor % 1_000);
        line(&mut self.levels, &level);
        line(
            &mut self.pipes,
            &format!(
                "S{n}: {{kind: stack, size: 110 mm, material: PVC-U, joints: ring-seal, top: V{n}, foot: {{into: D{n}, bend: 2 x 45, il: floor{n} - 0.600 m}}, access: {{RP{n}: floor{n} + 1.10 m}}, reach: boxed, fitted: 2026-03-04}}"
            ),
        );
        line(
            &mut self.pipes,
            &format!(
                "V{n}: {{kind: vent, size: 110 mm, top: VT{n}, foot: S{n}, at: floor{n} + 2.350 m, fitted: 2026-03-09}}"
            ),
        );
        for (i, (letters, body, at, size, fall)) in ROOMS.iter().enumerate() {
            line(&mut self.appliances, &format!("{letters}{n}: {{in: house, floor: floor{n}, {body}}}"));
            line(
                &mut self.pipes,
                &format!(
                    "B{n}.{i}: {{from: {letters}{n}, to: S{n}, at: floor{n} + {at}, entry: boss, side: south, coupon: out, size: {size}, length: 1.{i}0 m, fall: {fall}, bends: [swept 90], fitted: 2026-03-05}}"
                ),
            );
        }
        line(
            &mut self.pipes,
            &format!(
                "D{n}: {{kind: drain, from: S{n}, to: IC{n}, size: 110 mm, material: PVC-U, length: 4.85 m, il: [floor{n} - 0.600 m, floor{n} - 0.681 m], bed: {{stone: 10 mm, under: 100 mm, over: 100 mm}}, fitted: 2026-02-19}}"
            ),
        );
        let (to, down) = if last {
            ("SEW".to_owned(), format!("floor{n} - 0.850 m"))
        } else {
            (format!("IC{}", n + 1), format!("floor{} - 0.690 m", n + 1))
        };
        line(
            &mut self.pipes,
            &format!(
                "M{n}: {{kind: drain, from: IC{n}, to: {to}, size: 160 mm, length: 12.00 m, il: [floor{n} - 0.690 m, {down}], bed: as D{n}, fitted: 2026-02-20}}"
            ),
        );
        line(
            &mut self.access,
            &format!(
                "IC{n}: {{what: inspection chamber, in: yard, across: 450 mm, cover: floor{n} - 0.020 m, il-out: floor{n} - 0.690 m, class: A15, fitted: 2026-02-20}}"
            ),
        );
        line(
            &mut self.terminals,
            &format!("VT{n}: {{what: open pipe with cage, top: floor{n} + 8.350 m, fitted: 2026-03-09}}"),
        );
        self.evidence(n);
    }

    fn evidence(&mut self, n: usize) {
        line(
            &mut self.tests,
            &format!(
                "T{n}: {{what: drain air, covers: [D{n}, M{n}], plugs: [S{n} foot, IC{n} outlet], date: 2026-02-21, readings: {{\"15:40\": 100 mm, \"15:47\": 93 mm}}, seen-by: nobody}}"
            ),
        );
        line(
            &mut self.tests,
            &format!(
                "U{n}: {{again: T{n}, date: 2026-02-23, readings: {{\"09:40\": 100 mm, \"09:47\": 96 mm}}, seals-left: {{WC{n}: 47 mm}}}}"
            ),
        );
        line(
            &mut self.closings,
            &format!("- {{what: backfill of house {n}, date: 2026-02-27, hides: [D{n}, M{n}, S{n} foot]}}"),
        );
        line(&mut self.photos, &format!("PH{n}: {{file: IMG_{n}.jpg, shows: [D{n}, IC{n}, S{n}]}}"));
    }

    fn whole(&self) -> String {
        let mut text = "record: 1\njob: {id: BIG, title: A long row of houses}\nrulebook: england-2015\nplaces: [house, yard]\noutfalls:\n  SEW: {what: public sewer, carries: foul}\n".to_owned();
        for (key, body) in [
            ("levels", &self.levels),
            ("appliances", &self.appliances),
            ("pipes", &self.pipes),
            ("access", &self.access),
            ("terminals", &self.terminals),
            ("tests", &self.tests),
            ("closings", &self.closings),
            ("photos", &self.photos),
        ] {
            let _ = write!(text, "{key}:\n{body}");
        }
        text
    }
}

fn line(section: &mut String, words: &str) {
    let _ = writeln!(section, "  {words}");
}
