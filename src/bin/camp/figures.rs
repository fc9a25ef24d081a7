//! `camp figures`: counts, means, fabric, fold, sets and azimuths of a book or of a table of dials, and its net.

use std::fs;
use std::io::{self, Write};
use std::path::PathBuf;

use clap::{Args, ValueEnum};
use hingeline::exchange::book;
use hingeline::exchange::dial_table::Table;
use hingeline::exchange::net_figure::{NetFigure, Planes};
use hingeline::notebook::figures::{Figures, Look, by_kind, figures};
use hingeline::notebook::structure::{Datum, Wanted, data};
use hingeline::notebook::{Ledger, Pages};
use hingeline::orientation::folds::{Fold, Told};
use hingeline::orientation::statistics::{Eigen, Ellipse, Fisher, Test};
use hingeline::orientation::{
    Context, Density, Hemisphere, Line, Plane, Polarity, Projection, reduce_in,
};
use serde_json::{Value, json};

use crate::command::{Format, MISUSE};
use crate::declination::today_text;
use crate::read::{LineDegrees, PlaneDegrees};
use crate::written;

const HELP: &str = "\
A book file or a table of dials (CSV, as `camp check --help` describes it). Struck-out readings are left out; shots are taken
as their mean; a reading that counts from magnetic or grid north without a known turn is counted and said.

For each kind of structure: count; Fisher's mean, concentration and 95 % cone; the orientation tensor with the usual shape and
strength figures and the 95 % ellipse of the mean axis; for bedding, cleavage and foliation the best cylinder and cone, limbs,
interlimb angle and axial plane; for joints, veins, dykes and faults the sets and how many the poles speak for; strikes or
trends round the compass. Every figure names its method and its source under --format json.

With --format json one object: file, count, selected, kinds: [{kind, count, not_true, fisher, tensor, mean_axis, uniform,
fold: {cylinder, cone, limbs, axis, interlimb, axial_plane, …}, sets: {number, sets, evidence}, circular}]; null where there
are too few readings for it. Angles in degrees, strikes by the right-hand rule, axes pointing down.

Exit code: 0 done, 2 the file cannot be read, nothing is selected, or misuse.

Examples:
  camp figures book.json
  camp figures book.json --kind bedding --net bedding.svg
  camp figures dials.csv --station 47 --format json | jq '.kinds[].fisher'";

/// The figures of a selection.
#[derive(Args)]
#[command(after_long_help = HELP)]
pub(crate) struct FiguresArgs {
    /// A book file or a table of dials; - reads standard input
    #[arg(value_name = "FILE")]
    file: PathBuf,
    /// Only this kind of structure
    #[arg(long)]
    kind: Option<String>,
    /// Only this station, by its number or what the table calls it
    #[arg(long)]
    station: Option<String>,
    /// How the figures are written
    #[arg(long, value_enum, default_value_t = Format::Text)]
    format: Format,
    /// Draw the net into this file too
    #[arg(long, value_name = "FILE.svg")]
    net: Option<PathBuf>,
    /// The net's projection
    #[arg(long, value_enum, default_value_t = Drawn::EqualArea)]
    projection: Drawn,
    /// Draw the upper hemisphere
    #[arg(long)]
    upper: bool,
    /// Draw planes as great circles instead of poles
    #[arg(long)]
    circles: bool,
    /// Draw contours of the poles' density at 2, 4 and 8 times even
    #[arg(long)]
    contours: bool,
}

#[derive(Clone, Copy, ValueEnum)]
enum Drawn {
    /// Equal areas stay equal
    EqualArea,
    /// Angles stay true
    EqualAngle,
}

/// A book's or a table's readings, what it is called, and what was left out.
struct Source {
    data: Vec<Datum>,
    name: String,
    /// For a book: the number of each station's record.
    numbers: Vec<(String, String)>,
    notes: Vec<String>,
}

pub(crate) fn run(args: &FiguresArgs) -> io::Result<u8> {
    let file = args.file.display().to_string();
    let source = match read(args) {
        Ok(source) => source,
        Err(why) => {
            eprintln!("{file}: {why}");
            return Ok(MISUSE);
        }
    };
    for note in &source.notes {
        eprintln!("{file}: {note}");
    }
    let station = args.station.as_ref().map(|wanted| {
        let numbered = source.numbers.iter().find(|(_, number)| number == wanted);
        numbered.map_or_else(|| wanted.clone(), |(record, _)| record.clone())
    });
    let wanted = Wanted {
        kind: args.kind.clone(),
        station,
        ..Wanted::default()
    };
    let count = source.data.len();
    let selection: Vec<Datum> = source
        .data
        .into_iter()
        .filter(|d| wanted.wants(d))
        .collect();
    if selection.is_empty() {
        eprintln!("{file}: none of its {count} planes and lines is of this kind and station");
        return Ok(MISUSE);
    }
    let kinds: Vec<Figures> = by_kind(&selection)
        .into_iter()
        .map(|(kind, of)| figures(kind, &of))
        .collect();
    let mut out = io::stdout().lock();
    match args.format {
        Format::Json => {
            let kinds: Vec<Value> = kinds.iter().map(answer).collect();
            let answer = json!({
                "file": file, "count": count, "selected": selection.len(), "kinds": kinds,
            });
            writeln!(out, "{answer}")?;
        }
        Format::Text => {
            writeln!(out, "{} of {count} planes and lines", selection.len())?;
            for figures in &kinds {
                write_text(&mut out, figures)?;
            }
        }
    }
    out.flush()?;
    if let Some(path) = &args.net {
        let svg = net(args, &selection, &kinds, &source.name);
        if let Err(why) = fs::write(path, svg) {
            eprintln!("{}: the net could not be written: {why}", path.display());
            return Ok(MISUSE);
        }
    }
    Ok(0)
}

fn read(args: &FiguresArgs) -> Result<Source, String> {
    let bytes = if args.file.as_os_str() == "-" {
        let mut bytes = Vec::new();
        io::Read::read_to_end(&mut io::stdin().lock(), &mut bytes).map_err(|e| e.to_string())?;
        bytes
    } else {
        fs::read(&args.file).map_err(|e| e.to_string())?
    };
    let first = bytes
        .iter()
        .find(|b| !b.is_ascii_whitespace() && !matches!(b, 0xEF | 0xBB | 0xBF));
    if first == Some(&b'{') {
        of_book(&bytes)
    } else {
        of_table(&bytes)
    }
}

fn of_book(bytes: &[u8]) -> Result<Source, String> {
    let file = book::read_bytes(bytes).map_err(|e| e.to_string())?;
    let mut ledger = Ledger::new();
    ledger.join(file.entries);
    let pages = Pages::of(&ledger);
    let numbers = pages.stations().iter().map(|page| {
        let line = page.line();
        (line.record().as_str().to_owned(), line.number().to_string())
    });
    Ok(Source {
        data: data(&pages),
        name: pages
            .book()
            .map(|(_, book)| book.name.clone())
            .unwrap_or_default(),
        numbers: numbers.collect(),
        notes: Vec::new(),
    })
}

fn of_table(bytes: &[u8]) -> Result<Source, String> {
    let faults = |found: Vec<hingeline::exchange::dial_table::Fault>| {
        found
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<_>>()
            .join("; ")
    };
    let mut table = Table::open(bytes).map_err(faults)?;
    let mut notes = table.notes().to_vec();
    let mut data = Vec::new();
    let mut bare = 0_usize;
    for row in table.by_ref() {
        let row = row.map_err(faults)?;
        let reduced = reduce_in(&row.dials(), &Context::new(&row.noise));
        if reduced.plane.is_none() && reduced.line.is_none() {
            bare += 1;
            continue;
        }
        data.push(Datum {
            record: String::new(),
            station: row.station.clone(),
            name: row.reading.clone(),
            kind: row.kind.clone(),
            day: String::new(),
            by: String::new(),
            unit: String::new(),
            plane: reduced.plane,
            line: reduced.line,
            tops: Polarity::Unknown,
            is_true: true,
            doubted: !reduced.doubts.is_empty(),
            sd_deg: 0.0,
            declination_deg: 0.0,
        });
    }
    if bare > 0 {
        notes.push(format!(
            "{bare} rows come to no plane and no line; they were passed over"
        ));
    }
    Ok(Source {
        data,
        name: String::new(),
        numbers: Vec::new(),
        notes,
    })
}

fn plane(plane: &Plane) -> Value {
    json!(PlaneDegrees::new(plane))
}

fn line(line: &Line) -> Value {
    json!(LineDegrees::new(line))
}

fn vector(v: &nalgebra::Vector3<f64>) -> Value {
    Line::axis_from_vector(v).as_ref().map_or(Value::Null, line)
}

fn finite(value: f64) -> Value {
    if value.is_finite() {
        json!(value)
    } else {
        Value::Null
    }
}

fn test(test: &Test) -> Value {
    json!({"statistic": test.statistic, "p": test.p, "method": test.method, "source": test.source})
}

fn ellipse(e: &Ellipse) -> Value {
    json!({
        "axis": line(&e.axis), "level": e.level,
        "semi_axes": [e.semi_deg.0, e.semi_deg.1], "sd": [e.sd_deg.0, e.sd_deg.1], "along": vector(&e.along),
        "method": "asymptotic covariance of a principal axis, Hotelling's region", "source": "Prentice 1984",
    })
}

fn fisher_answer(f: &Fisher) -> Value {
    json!({
        "count": f.count, "mean": line(&f.mean), "resultant": f.resultant, "mean_resultant": f.mean_resultant,
        "concentration": finite(f.concentration), "cone_95": f.cone_95_deg, "quick_cone_95": finite(f.quick_cone_deg()),
        "sd": f.sd_deg, "method": "mean of unit vectors, k = (n − 1)/(n − R)", "source": "Fisher 1953",
    })
}

fn tensor(e: &Eigen) -> Value {
    json!({
        "eigenvalues": e.values, "eigenvectors": e.vectors.each_ref().map(vector),
        "shape_k": finite(e.shape()), "strength_c": finite(e.strength()),
        "cluster_p": e.cluster(), "girdle_g": e.girdle(), "even_r": e.even(),
        "method": "principal axes of the orientation tensor", "source": "Woodcock 1977 (K, C); Vollmer 1990 (P, G, R)",
    })
}

fn fold_answer(f: &Figures) -> Value {
    if f.cylinder.is_none() && f.fold.is_none() {
        return Value::Null;
    }
    let mut answer = json!({
        "cylinder": f.cylinder.as_ref().map(|c| json!({
            "count": c.count, "axis": line(&c.axis), "ellipse": c.ellipse.as_ref().map(ellipse),
            "misfit": c.misfit_deg, "girdle": c.girdle, "rest": c.rest,
            "method": "least principal axis of the poles' tensor", "source": "Woodcock 1977",
        })),
        "axis": f.cylinder.as_ref().map(|c| line(&c.axis)),
        "cone": f.cone.as_ref().map(|c| json!({
            "count": c.count, "axis": line(&c.axis), "half_angle": c.half_angle_deg, "misfit": c.misfit_deg,
            "better": c.better.as_ref().map(test),
        })),
    });
    if let Some((limbs, fold, different)) = &f.fold {
        let second = limbs.second.iter().filter(|s| **s).count();
        let more = json!({
            "limbs": [
                {"count": limbs.second.len() - second, "mean": plane(&limbs.planes[0])},
                {"count": second, "mean": plane(&limbs.planes[1])},
            ],
            "limbs_differ": different.as_ref().map(test),
            "hinge": line(&fold.axis),
            "interlimb": fold.interlimb_deg, "other_interlimb": fold.other_interlimb_deg,
            "told_by": told(fold), "tightness": fold.tightness(), "attitude": fold.attitude(),
            "axial_plane": plane(&fold.axial_plane), "other_axial_plane": plane(&fold.other_axial_plane),
            "facing": fold.facing.as_ref().map(line), "vergence": fold.vergence_deg,
            "words": "Fleuty 1964",
        });
        if let (Some(answer), Value::Object(more)) = (answer.as_object_mut(), more) {
            answer.extend(more);
        }
    }
    answer
}

fn told(fold: &Fold) -> &'static str {
    match fold.told {
        Told::ByTops => "tops",
        Told::NoneOverturned => "no limb taken as overturned",
    }
}

fn answer(f: &Figures) -> Value {
    json!({
        "kind": f.kind, "look": f.look, "count": f.count, "not_true": f.not_true,
        "fisher": f.fisher.as_ref().map(fisher_answer),
        "tensor": f.eigen.as_ref().map(tensor),
        "mean_axis": f.mean.as_ref().map(ellipse),
        "uniform": f.uniform.as_ref().map(test),
        "fold": fold_answer(f),
        "sets": f.sets.as_ref().map(|s| json!({
            "number": s.best + 1,
            "sets": s.tried[s.best].sets.iter().map(|set| json!({
                "count": set.count, "mean": plane(&set.mean), "spread": set.spread_deg,
                "ellipse": set.ellipse.as_ref().map(ellipse),
            })).collect::<Vec<_>>(),
            "evidence": s.tried.iter().enumerate().map(|(i, tried)| json!({
                "number": i + 1, "criterion": tried.criterion,
            })).collect::<Vec<_>>(),
            "method": "axial k-means, the number by Bayes' information criterion", "source": "our choice; see the library",
        })),
        "circular": f.circular.as_ref().map(|c| json!({
            "count": c.count, "axial": f.look != Look::Directions, "mean": c.mean_deg,
            "mean_resultant": c.mean_resultant, "concentration": finite(c.concentration),
            "half_interval_95": c.half_interval_deg(1.96),
            "angular_sd": c.angular_sd_deg, "circular_sd": finite(c.circular_sd_deg),
            "rayleigh": f.circular_test.as_ref().map(test),
            "source": "Fisher 1993; Zar 2010",
        })),
    })
}

fn write_text(out: &mut impl Write, f: &Figures) -> io::Result<()> {
    let what = if f.look == Look::Axes || f.look == Look::Directions {
        "lines"
    } else {
        "poles"
    };
    let kind = if f.kind.is_empty() {
        "no kind"
    } else {
        &f.kind
    };
    writeln!(out, "\n{kind}: {} {what}", f.count)?;
    if f.not_true > 0 {
        writeln!(out, "  {} do not count from true north", f.not_true)?;
    }
    let mut row = |name: &str, value: String| writeln!(out, "  {name:<18}{value}");
    if let Some(fisher) = f.fisher.as_ref().filter(|f| f.count > 1) {
        let cone = fisher
            .cone_95_deg
            .map_or_else(|| "no cone".to_owned(), |c| format!("95 % within {c:.1}°"));
        row(
            "mean",
            format!(
                "{}  k {:.1}, {cone} (Fisher)",
                written::line(&fisher.mean),
                fisher.concentration
            ),
        )?;
    }
    if let Some(eigen) = f.eigen.as_ref().filter(|_| f.count > 2) {
        let [a, b, c] = eigen.values;
        row(
            "tensor",
            format!(
                "{a:.3} {b:.3} {c:.3}  K {:.2}, C {:.2} (Woodcock)",
                eigen.shape(),
                eigen.strength()
            ),
        )?;
    }
    if let Some(mean) = &f.mean {
        row(
            "mean axis",
            format!(
                "{}  95 % within {:.1}° × {:.1}°",
                written::line(&mean.axis),
                mean.semi_deg.0,
                mean.semi_deg.1
            ),
        )?;
    }
    if let Some(test) = &f.uniform {
        row("even?", format!("p {:.3} ({})", test.p, test.method))?;
    }
    if let Some(cylinder) = &f.cylinder {
        let ellipse = cylinder.ellipse.map_or_else(String::new, |e| {
            format!("  95 % within {:.1}° × {:.1}°", e.semi_deg.0, e.semi_deg.1)
        });
        row(
            "fold axis",
            format!(
                "{}{ellipse}, poles {:.1}° off the girdle",
                written::line(&cylinder.axis),
                cylinder.misfit_deg
            ),
        )?;
    }
    if let Some(cone) = &f.cone {
        let better = cone.better.as_ref().map_or_else(String::new, |t| {
            format!(", better than the cylinder: p {:.3}", t.p)
        });
        row(
            "cone",
            format!(
                "{}  half angle {:.1}°{better}",
                written::line(&cone.axis),
                cone.half_angle_deg
            ),
        )?;
    }
    if let Some((limbs, fold, _)) = &f.fold {
        row(
            "limbs",
            limbs
                .planes
                .iter()
                .map(written::plane)
                .collect::<Vec<_>>()
                .join("  "),
        )?;
        row(
            "interlimb",
            format!(
                "{:.0}° ({}; the other way {:.0}°), told by {}",
                fold.interlimb_deg,
                fold.tightness(),
                fold.other_interlimb_deg,
                told(fold)
            ),
        )?;
        row(
            "axial plane",
            format!(
                "{}  {} (Fleuty)",
                written::plane(&fold.axial_plane),
                fold.attitude()
            ),
        )?;
    }
    if let Some(sets) = &f.sets {
        let best = &sets.tried[sets.best];
        for (i, set) in best.sets.iter().enumerate() {
            row(
                &format!("set {} of {}", i + 1, best.sets.len()),
                format!(
                    "{}  {} readings, spread {:.1}°",
                    written::plane(&set.mean),
                    set.count,
                    set.spread_deg
                ),
            )?;
        }
    }
    if let Some(circular) = &f.circular {
        let half = circular
            .half_interval_deg(1.96)
            .map_or_else(|| "not told".to_owned(), |h| format!("± {h:.1}°"));
        let name = if what == "poles" { "strikes" } else { "trends" };
        row(
            name,
            format!(
                "{:05.1} {half} (95 %), r {:.2}",
                circular.mean_deg, circular.mean_resultant
            ),
        )?;
    }
    Ok(())
}

fn net(args: &FiguresArgs, selection: &[Datum], kinds: &[Figures], name: &str) -> String {
    let projection = match args.projection {
        Drawn::EqualArea => Projection::EqualArea,
        Drawn::EqualAngle => Projection::EqualAngle,
    };
    let hemisphere = if args.upper {
        Hemisphere::Upper
    } else {
        Hemisphere::Lower
    };
    let poles: Vec<_> = selection.iter().filter_map(Datum::pole).collect();
    let density = args
        .contours
        .then(|| Density::of(&poles, 100.0, 61, projection, hemisphere));
    let mut chosen: Vec<String> = args.kind.iter().cloned().collect();
    chosen.extend(args.station.iter().map(|s| format!("station {s}")));
    NetFigure {
        projection,
        hemisphere,
        planes: if args.circles {
            Planes::Circles
        } else {
            Planes::Poles
        },
        data: selection.iter().collect(),
        // One fit on one plot: that of the only kind, or of the first surface.
        figures: match kinds {
            [only] => Some(only),
            many => many.iter().find(|f| f.look == Look::Surface),
        },
        density: density.as_ref().map(|d| (d, &[2.0, 4.0, 8.0][..])),
        book: if name.is_empty() {
            args.file.display().to_string()
        } else {
            name.to_owned()
        },
        date: today_text(),
        chosen: chosen.join(", "),
    }
    .svg()
}
