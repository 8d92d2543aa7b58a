//! The demo works from file to fitting sheet.

use crate::{shop, wren15};

#[test]
fn the_demo_is_planned_without_a_fault() {
    let plan = job::plan(&wren15(), &shop());
    let faults: Vec<_> = plan.all_faults().collect();
    if std::env::var_os("SHOW_PLAN").is_some() {
        for section in &plan.sections {
            println!(
                "== {} {:?}\n{}\n{:?}",
                section.title,
                section.hand,
                section.damage,
                section.cut.as_ref().map(|c| &c.sentence)
            );
            for m in &section.measured {
                println!("  {} {:.2} ±{:.2} {:?} {:?}", m.title, m.value_mm, m.reach_mm, m.agrees, m.origin);
            }
            for p in &section.pieces {
                println!(
                    "  piece {} {} area {:.0} outline {} tri {} {:?}",
                    p.name,
                    p.kind,
                    p.blank.area_mm2,
                    p.blank.outline_mm.len(),
                    p.shape.triangles.len(),
                    p.placing
                );
            }
            println!("  {}", section.joint.sentence);
            for s in &section.fitting {
                println!("  {} {} {}\n      {}", s.number, s.kind, s.title, s.text.join("\n      "));
            }
            for o in &section.operations {
                println!(
                    "  {} {} {:.1} {} {:?} {:?}",
                    o.number, o.kind, o.minutes.likely, o.what, o.settings, o.checks
                );
            }
            if let Some(p) = &section.price {
                for l in &p.lines {
                    println!("    {:40} {:10} {}", l.what, l.quantity, l.amount);
                }
                println!("  net {:?} next {:?}", p.net, p.next_one);
            }
            println!("  second {:?}", section.second_price.as_ref().map(|p| &p.net));
            for c in &section.concerns {
                println!("  ! {:?} {} | {} | {} | {}", c.grade, c.key, c.place, c.what, c.what_to_do);
            }
            for p in &section.protect {
                println!("  {}: {}", p.stage, p.what);
            }
            println!("{}", section.reply);
        }
        println!("{:?}\n{:?}\n{:?}", plan.promise, plan.compared, plan.price.as_ref().map(|p| (&p.net, &p.gross)));
        for c in &plan.concerns {
            println!("  ! {:?} {}", c.grade, c.key);
        }
    }
    assert!(faults.is_empty(), "{faults:#?}");
}
