//! The measure sheet as one page for a screen: the same blocks as on paper, boxes to type in, nothing asked from outside.

use std::fmt::Write as _;

use crate::documents::block::Block;
use crate::documents::desk::{Desk, PaperDraft};
use crate::error::PacketError;
use crate::svg::escape;

const STYLE: &str = "body{font:1.05rem/1.45 sans-serif;max-width:46rem;margin:1rem auto;padding:0 1rem;color:#111;background:#fff}\
svg{max-width:100%;height:auto}section{border:1px solid #555;padding:.6rem 1rem;margin:1rem 0;break-inside:avoid}\
input[type=text]{font:inherit;width:8rem;min-height:44px}label{margin-right:1rem}li{list-style:none;margin:.5rem 0}\
input[type=checkbox]{width:24px;height:24px;vertical-align:middle}";

/// Sets blocks as a page.
///
/// # Errors
/// [`PacketError::Typeset`] for a block that this page has no form for.
pub(super) fn page(desk: &Desk<'_>, heading: &str, subject: &str, draft: &PaperDraft) -> Result<String, PacketError> {
    let title = escape(&format!("{heading} · {}", desk.job.number));
    let mut html = format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><meta name=\"viewport\" content=\"width=device-width\">\
         <title>{title}</title><style>{STYLE}</style></head><body>\n<p>{} · {}</p>\n<h1>{}</h1>\n<p>{} · job {} · {}</p>\n",
        escape(&desk.shop.name),
        escape(&desk.shop.contact.join(" · ")),
        escape(heading),
        escape(subject),
        escape(&desk.job.number),
        escape(&desk.date()),
    );
    for (index, block) in draft.blocks.iter().enumerate() {
        put(&mut html, index, block, draft)?;
    }
    html.push_str("</body></html>\n");
    Ok(html)
}

fn put(html: &mut String, index: usize, block: &Block, draft: &PaperDraft) -> Result<(), PacketError> {
    let _ = match block {
        Block::Heading { level, text } => writeln!(html, "<h{0}>{1}</h{0}>", level + 1, escape(text)),
        Block::Words { text } => writeln!(html, "<p>{}</p>", escape(text)),
        Block::Strong { text } => writeln!(html, "<p><strong>{}</strong></p>", escape(text)),
        Block::Small { text } => writeln!(html, "<p><small>{}</small></p>", escape(text)),
        Block::Ticks { items } => {
            html.push_str("<ul>\n");
            for item in items {
                let _ = writeln!(html, "<li><label><input type=\"checkbox\"> {}</label></li>", escape(item));
            }
            writeln!(html, "</ul>")
        }
        Block::Blanks { letter, title, check, how, picture, readings, unit, usual } => {
            let _ = writeln!(html, "<section>\n<h3>{} {}</h3>", escape(letter), escape(title));
            if *check {
                html.push_str("<p><small>check figure: sizes nothing, shows that the pattern fits</small></p>\n");
            }
            let _ = writeln!(html, "<p>{}</p>", escape(how));
            put_picture(html, draft, picture.as_ref());
            for reading in 1..=*readings {
                let _ = writeln!(
                    html,
                    "<label>reading {reading} <input type=\"text\" inputmode=\"decimal\" name=\"b{index}-{reading}\"> {}</label>",
                    escape(unit)
                );
            }
            writeln!(html, "<p><small>{}</small></p>\n</section>", escape(usual))
        }
        Block::Picture { name, caption, .. } => {
            put_picture(html, draft, Some(name));
            if caption.is_empty() { Ok(()) } else { writeln!(html, "<p><small>{}</small></p>", escape(caption)) }
        }
        Block::NewPage => writeln!(html, "<hr>"),
        other => {
            let reason = format!("this page has no form for {other:?}");
            return Err(PacketError::Typeset { document: "measure sheet".into(), reason });
        }
    };
    Ok(())
}

fn put_picture(html: &mut String, draft: &PaperDraft, name: Option<&String>) {
    let Some(picture) = draft.pictures.iter().find(|own| Some(&own.name) == name) else { return };
    let svg = picture.svg.split_once("<svg").map_or("", |(_, rest)| rest);
    let _ = writeln!(html, "<figure role=\"img\" aria-label=\"{}\"><svg{svg}</figure>", escape(&picture.alt));
}
