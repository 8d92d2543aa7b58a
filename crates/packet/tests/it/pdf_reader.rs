//! Reads the lines of a PDF page back in millimetres: a small interpreter of the path and matrix operators.

use glam::DVec2;
use lopdf::content::Content;
use lopdf::{Dictionary, Document, Object, ObjectId};

/// PDF points in a millimetre: 72 to the inch of 25.4 mm.
pub const POINTS_PER_MM: f64 = 72.0 / 25.4;

/// Matrix of the PDF: [a b c d e f].
type Matrix = [f64; 6];

/// One page read back.
#[derive(Debug, Default)]
pub struct PageLines {
    /// Width and height, points.
    pub size_pt: DVec2,
    /// User unit of the page.
    pub user_unit: f64,
    /// Chains of points, in points from the lower left corner; curves sampled.
    pub chains: Vec<Vec<DVec2>>,
}

/// Reads all pages.
pub fn read(bytes: &[u8]) -> Vec<PageLines> {
    let document = Document::load_mem(bytes).unwrap();
    document.get_pages().values().map(|id| page(&document, *id)).collect()
}

fn page(document: &Document, id: ObjectId) -> PageLines {
    let dictionary = document.get_dictionary(id).unwrap();
    let media: Vec<f64> = inherited(document, dictionary, b"MediaBox").as_array().unwrap().iter().map(number).collect();
    let user_unit = dictionary.get(b"UserUnit").map_or(1.0, number);
    let mut lines =
        PageLines { size_pt: DVec2::new(media[2] - media[0], media[3] - media[1]), user_unit, chains: vec![] };
    let resources = inherited(document, dictionary, b"Resources").as_dict().unwrap();
    let content = document.get_page_content(id);
    run(document, resources, &content, [1.0, 0.0, 0.0, 1.0, -media[0], -media[1]], &mut lines);
    lines
}

fn inherited<'a>(document: &'a Document, dictionary: &'a Dictionary, key: &[u8]) -> &'a Object {
    match dictionary.get(key) {
        Ok(found) => document.dereference(found).unwrap().1,
        Err(_) => inherited(
            document,
            document.get_dictionary(dictionary.get(b"Parent").unwrap().as_reference().unwrap()).unwrap(),
            key,
        ),
    }
}

fn number(object: &Object) -> f64 {
    object.as_f64_like()
}

trait Number {
    fn as_f64_like(&self) -> f64;
}

impl Number for Object {
    fn as_f64_like(&self) -> f64 {
        match self {
            Object::Integer(value) => *value as f64,
            Object::Real(value) => f64::from(*value),
            other => panic!("a number is expected, got {other:?}"),
        }
    }
}

fn multiply(m: Matrix, n: Matrix) -> Matrix {
    [
        m[0] * n[0] + m[1] * n[2],
        m[0] * n[1] + m[1] * n[3],
        m[2] * n[0] + m[3] * n[2],
        m[2] * n[1] + m[3] * n[3],
        m[4] * n[0] + m[5] * n[2] + n[4],
        m[4] * n[1] + m[5] * n[3] + n[5],
    ]
}

fn apply(m: Matrix, x: f64, y: f64) -> DVec2 {
    DVec2::new(m[0] * x + m[2] * y + m[4], m[1] * x + m[3] * y + m[5])
}

fn run(document: &Document, resources: &Dictionary, bytes: &[u8], start: Matrix, lines: &mut PageLines) {
    let mut stack = vec![];
    let mut ctm = start;
    let mut chains: Vec<Vec<DVec2>> = vec![];
    for operation in Content::decode(bytes).unwrap().operations {
        let value = |i: usize| number(&operation.operands[i]);
        let point = |i: usize| apply(ctm, value(i), value(i + 1));
        match operation.operator.as_str() {
            "q" => stack.push(ctm),
            "Q" => ctm = stack.pop().unwrap(),
            "cm" => ctm = multiply([0, 1, 2, 3, 4, 5].map(value), ctm),
            "m" => chains.push(vec![point(0)]),
            "l" => chains.last_mut().unwrap().push(point(0)),
            "c" => {
                let from = *chains.last().unwrap().last().unwrap();
                let (a, b, to) = (point(0), point(2), point(4));
                chains.last_mut().unwrap().extend((1..=32).map(|i| bezier(from, a, b, to, f64::from(i) / 32.0)));
            }
            "h" => {
                let first = chains.last().unwrap()[0];
                chains.last_mut().unwrap().push(first);
            }
            "re" => {
                let (x, y, w, h) = (value(0), value(1), value(2), value(3));
                chains.push(
                    [(x, y), (x + w, y), (x + w, y + h), (x, y + h), (x, y)].map(|(x, y)| apply(ctm, x, y)).to_vec(),
                );
            }
            "S" | "s" | "f" | "f*" | "B" => lines.chains.append(&mut chains),
            "n" => chains.clear(),
            "Do" => form(document, resources, operation.operands[0].as_name().unwrap(), ctm, lines),
            _ => {}
        }
    }
}

fn form(document: &Document, resources: &Dictionary, name: &[u8], ctm: Matrix, lines: &mut PageLines) {
    let forms = document.dereference(resources.get(b"XObject").unwrap()).unwrap().1.as_dict().unwrap();
    let stream = document.dereference(forms.get(name).unwrap()).unwrap().1.as_stream().unwrap();
    if stream.dict.get(b"Subtype").unwrap().as_name().unwrap() != b"Form" {
        return;
    }
    let matrix = stream.dict.get(b"Matrix").map_or([1.0, 0.0, 0.0, 1.0, 0.0, 0.0], |object| {
        let values: Vec<f64> = object.as_array().unwrap().iter().map(number).collect();
        [values[0], values[1], values[2], values[3], values[4], values[5]]
    });
    let own = stream.dict.get(b"Resources").map(|object| document.dereference(object).unwrap().1.as_dict().unwrap());
    let content = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone());
    run(document, own.unwrap_or(resources), &content, multiply(matrix, ctm), lines);
}

fn bezier(p: DVec2, a: DVec2, b: DVec2, q: DVec2, t: f64) -> DVec2 {
    let s = 1.0 - t;
    p * (s * s * s) + a * (3.0 * s * s * t) + b * (3.0 * s * t * t) + q * (t * t * t)
}
