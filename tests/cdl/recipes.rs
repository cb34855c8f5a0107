//! `[grade] from`: numbers that a recipe takes from a file of post.

use crate::told;
use lookwright::colour::cdl::Cdl;
use lookwright::compile::{Prepared, prepare};
use lookwright::diagnostics::Diagnostic;
use lookwright::formats::cdl::{CdlFile, Correction, Kind, write};
use std::fs;
use std::path::PathBuf;
use tempfile::TempDir;

const WARM: Cdl =
    Cdl { slope: [1.1, 1.0, 0.92], offset: [-0.02, 0.0, 0.0105], power: [1.05, 1.0, 0.98], saturation: 0.85 };
const COOL: Cdl =
    Cdl { slope: [0.9, 1.0, 1.125], offset: [0.0, 0.001, -0.05], power: [1.0, 0.9, 1.5], saturation: 0.5 };

const HEAD: &str =
    "lookwright = 1\n[look]\nname = \"Quayside\"\n[camera]\nencoding = \"s-log3\"\ngamut = \"s-gamut3.cine\"\n";

const LIST: &str = "001  A V C 00:00:00:00 00:00:01:00 00:00:00:00 00:00:01:00\n* FROM CLIP NAME: TW_1\n* ASC_SAT 0.5\n\
    002  A V C 00:00:00:00 00:00:01:00 00:00:01:00 00:00:02:00\n* FROM CLIP NAME: TW_2\n\
    * ASC_SOP (1.1 1 0.92)(-0.02 0 0.0105)(1.05 1 0.98)\n* ASC_SAT 0.85\n\
    003  A V C 00:00:00:00 00:00:01:00 00:00:02:00 00:00:03:00\n* FROM CLIP NAME: TW_1\n* ASC_SAT 0.6\n";

/// A folder of recipes beside a folder of post's files.
struct Job {
    folder: TempDir,
}

impl Job {
    fn new() -> Self {
        let job = Self { folder: tempfile::tempdir().expect("a folder") };
        let of = |kind, corrections| write(&CdlFile::new(kind, corrections));
        let named = |id: &str, cdl| Correction::new(id, cdl);
        job.put("post/warm.cc", of(Kind::Correction, vec![named("x", WARM)]));
        job.put("post/both.ccc", of(Kind::Collection, vec![named("TW_1", WARM), named("TW_2", COOL)]));
        job.put("post/list.edl", LIST.as_bytes());
        job
    }

    fn put(&self, name: &str, bytes: impl AsRef<[u8]>) -> PathBuf {
        let path = self.folder.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("made");
        fs::write(&path, bytes).expect("written");
        path
    }

    fn prepare(&self, name: &str, grade: &str, set: &[&str]) -> Result<Prepared, Vec<Diagnostic>> {
        let path = self.put(name, format!("{HEAD}{grade}\n"));
        prepare(&path, &set.iter().map(|one| (*one).to_owned()).collect::<Vec<_>>())
    }

    /// The grade of a recipe in `looks/`, with these lines and `--set`s.
    fn grade(&self, grade: &str, set: &[&str]) -> Cdl {
        let prepared = self.prepare("looks/look.toml", grade, set);
        prepared
            .unwrap_or_else(|found| panic!("{grade} {set:?}: {:?}", found.iter().map(told).collect::<Vec<_>>()))
            .plan
            .grade
    }

    /// What is wrong, with the paths cut to their last part.
    fn wrong(&self, grade: &str) -> Vec<String> {
        let found = self.prepare("looks/look.toml", grade, &[]).err().unwrap_or_else(|| panic!("{grade} is right"));
        found.iter().map(|one| self.short(one)).collect()
    }

    fn short(&self, one: &Diagnostic) -> String {
        let file = one.span.as_ref().map_or("", |span| span.source.name.rsplit('/').next().unwrap_or_default());
        let folder = format!("{}/looks/", self.folder.path().display());
        format!("{file} {} | {}", told(one).replace(&folder, ""), one.help.join(" | "))
    }
}

#[test]
fn a_file_gives_what_is_not_written_beside_it() {
    let job = Job::new();
    let from = "[grade]\nfrom = \"../post/warm.cc\"\n";
    assert_eq!(job.grade(from, &[]), WARM);
    assert_eq!(job.grade(&format!("{from}saturation = 1.2\n"), &[]), Cdl { saturation: 1.2, ..WARM });
    assert_eq!(job.grade(from, &["grade.slope=[1, 1, 1]"]), Cdl { slope: [1.0; 3], ..WARM });
    let both = "[grade]\nfrom = \"../post/both.ccc\"\nfrom_id = ";
    assert_eq!(job.grade(&format!("{both}\"TW_2\""), &[]), COOL);
    assert_eq!(job.grade(&format!("{both}\"tw-1\""), &[]), WARM);
    let list = "[grade]\nfrom = \"../post/list.edl\"\nfrom_id = ";
    assert_eq!(job.grade(&format!("{list}\"TW_2\""), &[]), WARM);
    assert_eq!(job.grade(&format!("{list}\"003\""), &[]), Cdl { saturation: 0.6, ..Cdl::IDENTITY });
}

#[test]
fn only_the_numbers_count() {
    let job = Job::new();
    let prepared = job.prepare("looks/look.toml", "[grade]\nfrom = \"../post/warm.cc\"", &[]).expect("right");
    let own = "[grade]\nslope = [1.1, 1.0, 0.92]\noffset = [-0.02, 0.0, 0.0105]\npower = [1.05, 1.0, 0.98]\nsaturation = 0.85";
    let written = job.prepare("looks/own.toml", own, &[]).expect("right");
    assert_eq!(prepared.plan.canonical(), written.plan.canonical());
    assert!(lookwright::verify::differences(&prepared.recipe, &written.recipe).is_empty());
    // The origin of a number is its place in the file of post.
    let slope = &prepared.recipe.get("grade.slope").expect("filled in").span;
    assert!(slope.source.name.ends_with("post/warm.cc"), "{}", slope.source.name);
    assert_eq!(slope.source.line_column(slope.range.start), (4, 12));
}

#[test]
fn a_nearer_file_displaces_what_a_base_says() {
    let job = Job::new();
    let child = |grade: &str, set: &[&str]| {
        job.put(
            "looks/child.toml",
            format!("{}{grade}\n", HEAD.replace("[camera]", "extends = \"../base/base.toml\"\n[camera]")),
        );
        let set: Vec<String> = set.iter().map(|one| (*one).to_owned()).collect();
        prepare(&job.folder.path().join("looks/child.toml"), &set).expect("right").plan.grade
    };
    job.put("base/base.toml", format!("{HEAD}[grade]\nslope = [2, 2, 2]\nsaturation = 1.5\n"));
    assert_eq!(child("", &[]), Cdl { slope: [2.0; 3], saturation: 1.5, ..Cdl::IDENTITY });
    assert_eq!(child("[grade]\nfrom = \"../post/warm.cc\"", &[]), WARM);
    // The base's own file is found from the base, and its keys stay under what the child writes.
    job.put("base/near.cc", write(&CdlFile::new(Kind::Correction, vec![Correction::new("n", COOL)])));
    job.put("base/base.toml", format!("{HEAD}[grade]\nfrom = \"near.cc\"\npower = [2, 2, 2]\n"));
    assert_eq!(child("", &[]), Cdl { power: [2.0; 3], ..COOL });
    assert_eq!(child("[grade]\nsaturation = 1", &[]), Cdl { power: [2.0; 3], saturation: 1.0, ..COOL });
    assert_eq!(child("[grade]\nfrom = \"../post/warm.cc\"", &[]), WARM);
    job.put(
        "base/base.toml",
        format!("{HEAD}[grade]\nfrom = \"../post/both.ccc\"\nfrom_id = \"TW_1\"\npower = [2, 2, 2]\n"),
    );
    assert_eq!(child("[grade]\nfrom_id = \"TW_2\"", &[]), COOL);
    assert_eq!(child("", &["grade.from_id=TW_2"]), COOL);
    // A path after --set begins at the recipe too.
    assert_eq!(child("", &["grade.from=../post/warm.cc", "grade.saturation+=0.1"]), Cdl { saturation: 0.95, ..WARM });
    assert_eq!(child("", &["grade.from=\"../post/both.ccc\"", "grade.from_id=\"TW_2\""]), COOL);
}

#[test]
fn what_is_wrong_or_doubtful_is_told_in_its_place() {
    let job = Job::new();
    let slope = |text: &str| {
        format!(
            "<ColorCorrection xmlns=\"urn:ASC:CDL:v1.01\" id=\"x\">\n<InputDescription>log of the camera</InputDescription>\n<SOPNode>\
             <Slope>{text}</Slope><Offset>0 0 0</Offset><Power>1 1 1</Power></SOPNode></ColorCorrection>"
        )
    };
    job.put("post/steep.cc", slope("1 5 1"));
    job.put("post/comma.cc", slope("1 1,5 1"));
    job.put("post/log.cc", slope("1 1.5 1"));
    let from = |name: &str, more: &str| job.wrong(&format!("[grade]\nfrom = \"../post/{name}\"{more}"));
    assert_eq!(
        from("none.cc", ""),
        [
            "look.toml LW0225 8:8 the file of the correction can't be read | ../post/none.cc: No such file or directory (os error 2) | \
          the path is relative to the recipe that names it"
        ]
    );
    assert_eq!(
        from("comma.cc", ""),
        [
            "comma.cc LW0343 3:19 Slope is not a number | expected a finite decimal number, found `1,5` | decimals have a point, not a comma"
        ]
    );
    let steep = from("steep.cc", "");
    assert_eq!(
        steep[0],
        "steep.cc LW0104 3:17 `grade.slope` of the correction is out of range | expected 0 to 4, found 5 | write `slope` beside `from` to take another value"
    );
    assert_eq!(
        from("both.ccc", ""),
        ["look.toml LW0226 8:8 the file holds 2 corrections | expected `from_id` beside it | its ids: TW_1, TW_2"]
    );
    assert_eq!(
        from("both.ccc", "\nfrom_id = \"TW_3x\""),
        [
            "look.toml LW0226 9:11 the file has no correction \"TW_3x\" | expected the id of a correction of the file | its ids: TW_1, TW_2"
        ]
    );
    assert_eq!(
        from("list.edl", "\nfrom_id = \"TW_1\""),
        ["look.toml LW0226 9:11 \"TW_1\" stands for 2 corrections that differ | expected the id of one correction | \
          name it by the event's number or by its clip, whichever is its own"]
    );
    let doubts = |grade: &str| -> Vec<String> {
        let prepared = job.prepare("looks/look.toml", grade, &[]).expect("right");
        prepared.warnings.iter().map(|one| job.short(one)).collect()
    };
    assert_eq!(
        doubts("[grade]\nfrom = \"../post/log.cc\""),
        [
            "log.cc LW0228 1:1 the correction was made for another space than ACEScct | its input: `log of the camera` | \
          the same numbers in another space are another look: see docs/look-maths.md, section 8"
        ]
    );
    assert_eq!(
        doubts("[grade]\nfrom_id = \"TW_1\""),
        [
            "look.toml LW0227 8:11 `grade.from_id` without `grade.from` | has no effect: no file is named | name the file: from = \"grades.ccc\""
        ]
    );
}
