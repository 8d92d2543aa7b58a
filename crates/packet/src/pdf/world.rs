//! All that the typesetter may see: one template, the shared file, the data, the drawings, two fonts, a fixed day.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use serde_json::{Map, Value, json};
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

use super::{Day, Document, PacketError, templates};
use crate::font;

/// The typesetter's desk for one document.
pub struct Desk {
    main: FileId,
    files: BTreeMap<String, Bytes>,
    day: Option<Day>,
}

struct Shared {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

fn shared() -> &'static Shared {
    static SHARED: OnceLock<Shared> = OnceLock::new();
    SHARED.get_or_init(|| {
        let fonts: Vec<Font> =
            [font::REGULAR_TTF, font::BOLD_TTF].into_iter().flat_map(|bytes| Font::iter(Bytes::new(bytes))).collect();
        Shared { library: LazyHash::new(Library::default()), book: LazyHash::new(FontBook::from_fonts(&fonts)), fonts }
    })
}

/// Returns the day as the typesetter writes it, 1 January 2000 when absent; `None` when the calendar has no such day.
pub fn datetime(day: Option<Day>) -> Option<Datetime> {
    let Day { year, month, day } = day.unwrap_or(Day { year: 2000, month: 1, day: 1 });
    Datetime::from_ymd_hms(year, month, day, 0, 0, 0)
}

impl Desk {
    /// Lays out the files of a document.
    pub fn new(document: &Document) -> Result<Self, PacketError> {
        let unknown = || PacketError::UnknownTemplate { name: document.template.to_owned(), known: templates::names() };
        templates::source(document.template).ok_or_else(unknown)?;
        let main_path = format!("/{}.typ", document.template);
        let mut files: BTreeMap<String, Bytes> = templates::TEMPLATES
            .iter()
            .map(|(name, source)| (format!("/{name}.typ"), Bytes::from_string(*source)))
            .collect();
        let mut drawings = Map::new();
        for (index, picture) in document.pictures.iter().enumerate() {
            // fixed names: the typesetter keeps every file name it has ever seen
            let path = format!("/drawing-{index}.svg");
            let entry = json!({
                "path": path, "width_mm": picture.width_mm, "height_mm": picture.height_mm, "alt": picture.alt,
            });
            drawings.insert(picture.name.clone(), entry);
            files.insert(path, Bytes::from_string(picture.svg.clone()));
        }
        let data = with_fixed_keys(document, drawings)?;
        files.insert("/data.json".to_owned(), Bytes::from_string(data.to_string()));
        let main = file_id(&main_path).ok_or_else(unknown)?;
        Ok(Self { main, files, day: document.day })
    }

    fn bytes(&self, id: FileId) -> FileResult<&Bytes> {
        let path = id.get();
        let project = matches!(path.root(), VirtualRoot::Project);
        let name = path.vpath().get_with_slash();
        self.files.get(name).filter(|_| project).ok_or(FileError::AccessDenied)
    }
}

fn file_id(path: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern())
}

fn with_fixed_keys(document: &Document, drawings: Map<String, Value>) -> Result<Value, PacketError> {
    let mut data = match &document.data {
        Value::Object(map) => map.clone(),
        Value::Null => Map::new(),
        _ => {
            let reason = "its data are not a JSON object".to_owned();
            return Err(PacketError::Typeset { document: document.title.clone(), reason });
        }
    };
    data.insert("title".to_owned(), Value::String(document.title.clone()));
    data.insert("drawings".to_owned(), Value::Object(drawings));
    Ok(Value::Object(data))
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &shared().library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &shared().book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let text = std::str::from_utf8(self.bytes(id)?).map_err(|_| FileError::InvalidUtf8)?;
        Ok(Source::new(id, text.to_owned()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.bytes(id).cloned()
    }

    fn font(&self, index: usize) -> Option<Font> {
        shared().fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        datetime(self.day)
    }
}
