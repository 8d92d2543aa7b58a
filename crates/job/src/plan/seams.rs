//! Seams for skins that one blank does not give, or not without much work: long work, asked for by a person.

use super::make::develop_settings;
use super::skin::skin_piece;
use crate::file::{Job, Section};
use crate::resolve::{Assume, ResolvedShape, resolve};
use blank::skin::seams::{SeamProposal, propose};
use blank::skin::{DevelopedSkin, SkinError, develop};
use numerics::{Cancel, Cancelled, Progress};
use shop::ShopSettings;

/// What was found for one skin.
#[derive(Debug, Clone, PartialEq)]
pub struct SeamsOfPiece {
    /// Name of the piece.
    pub piece: String,
    /// The whole in one blank.
    pub whole: DevelopedSkin,
    /// Up to three seams, best first; none when every line is ruled out.
    pub proposals: Vec<SeamProposal>,
}

/// Proposes seams for every skin of a section. Inner error: a piece that cannot be worked out, in words.
///
/// # Errors
/// [`Cancelled`].
pub fn propose_seams(
    job: &Job,
    section: &Section,
    shop: &ShopSettings,
    progress: &Progress,
    cancel: &Cancel,
) -> Result<Result<Vec<SeamsOfPiece>, String>, Cancelled> {
    let resolved = resolve(job, section, shop, Assume::default());
    if let Some(fault) = resolved.faults.first() {
        return Ok(Err(format!("{}: {}", fault.field, fault.message)));
    }
    let skins: Vec<_> = resolved
        .pieces
        .iter()
        .filter_map(|piece| match &piece.shape {
            ResolvedShape::Skin(skin) => Some((piece, skin)),
            _ => None,
        })
        .collect();
    let mut found = Vec::new();
    for (index, (piece, skin)) in skins.iter().enumerate() {
        let count = skins.len() as f64;
        let own = progress.part(index as f64 / count, (index as f64 + 1.0) / count);
        let settings = develop_settings(piece, shop);
        let surface = match skin_piece(skin, &own.part(0.0, 0.1), cancel) {
            Ok(surface) => surface,
            Err(_) if cancel.is_asked() => return Err(Cancelled),
            Err(why) => return Ok(Err(why)),
        };
        let whole = match develop(&surface, &settings, &shop.skins, &own.part(0.1, 0.2), cancel) {
            Ok(whole) => whole,
            Err(SkinError::Cancelled) => return Err(Cancelled),
            Err(error) => return Ok(Err(error.to_string())),
        };
        match propose(&surface, &whole, &settings, &shop.skins, &own.part(0.2, 1.0), cancel) {
            Ok(proposals) => found.push(SeamsOfPiece { piece: skin.name.clone(), whole, proposals }),
            Err(SkinError::Cancelled) => return Err(Cancelled),
            Err(error) => return Ok(Err(error.to_string())),
        }
    }
    Ok(Ok(found))
}
