//! The local web app: pages that are complete before any script runs, and the answers to their edits.

mod assets;
mod card;
mod errors;
mod figures;
mod guard;
mod long_work;
mod packet_page;
mod pair;
mod patterns;
mod photos;
mod rack;
mod shapes;
mod shop_page;
mod telephone;

pub use guard::Guard;

use crate::failure::Failure;
use crate::planning::Planning;
use crate::shop_data::ShopData;
use askama::Template;
use axum::Router;
use axum::extract::DefaultBodyLimit;
use axum::middleware::from_fn_with_state;
use axum::response::Html;
use axum::routing::{get, post};
use errors::WebError;
use std::sync::Arc;

/// Largest request: twelve photos of the largest size.
const BODY_LIMIT_BYTES: usize = 12 * 50 * 1024 * 1024;

/// Everything the pages work with.
#[derive(Debug)]
pub struct App {
    /// The shop's data.
    pub data: ShopData,
    /// Plans of the cards.
    pub planning: Planning,
    /// Who is let in.
    pub guard: Guard,
    /// Long work going on.
    pub long_work: long_work::LongWork,
}

impl App {
    /// Puts the parts together.
    ///
    /// # Errors
    /// Settings that cannot be read; no thread for long work.
    pub fn new(data: ShopData, guard: Guard) -> Result<Arc<Self>, Failure> {
        let planning = Planning::new(data.settings()?);
        Ok(Arc::new(Self { data, planning, guard, long_work: long_work::LongWork::start()? }))
    }

    /// Runs work that reads the disk or computes, away from the threads that answer requests.
    async fn work<T, F>(self: &Arc<Self>, work: F) -> Result<T, Failure>
    where
        T: Send + 'static,
        F: FnOnce(&Arc<Self>) -> Result<T, Failure> + Send + 'static,
    {
        let app = Arc::clone(self);
        tokio::task::spawn_blocking(move || work(&app))
            .await
            .unwrap_or_else(|error| Err(Failure::machine(format!("a page could not be made: {error}"))))
    }
}

/// All pages.
pub fn router(app: Arc<App>) -> Router {
    Router::new()
        .route("/", get(rack::show))
        .route("/favicon.ico", get(assets::icon))
        .route("/static/{*path}", get(assets::serve))
        .route("/patterns", get(patterns::show))
        .route("/patterns/{pattern}/picture.svg", get(patterns::picture))
        .route("/new", get(telephone::form).post(telephone::make))
        .route("/card/{id}", get(card::show))
        .route("/card/{id}/section/{section}", get(card::show_section))
        .route("/card/{id}/section/{section}/fields", post(card::change))
        .route("/card/{id}/section/{section}/seams", post(card::look_for_seams))
        .route("/card/{id}/section/{section}/heat", post(card::work_out_heat))
        .route("/card/{id}/section/{section}/warp", post(card::work_out_warp))
        .route("/card/{id}/section/{section}/warp/order", post(card::accept_order))
        .route("/card/{id}/section/{section}/shape.json", get(shapes::piece))
        .route("/card/{id}/pieces", post(patterns::put_on_card))
        .route("/card/{id}/undo", post(card::undo))
        .route("/card/{id}/redo", post(card::redo))
        .route("/card/{id}/history", get(card::history).post(card::go_back))
        .route("/card/{id}/waits", post(card::move_on))
        .route("/card/{id}/times", post(card::times))
        .route("/card/{id}/photos", post(photos::add))
        .route("/card/{id}/reply", get(telephone::reply).post(telephone::send))
        .route("/card/{id}/numbers", get(telephone::numbers).post(telephone::take_numbers))
        .route("/card/{id}/packet", get(packet_page::show))
        .route("/card/{id}/packet/lift", post(packet_page::lift))
        .route("/card/{id}/packet/put-back", post(packet_page::put_back))
        .route("/card/{id}/packet/all.zip", get(packet_page::all))
        .route("/card/{id}/packet/file/{*path}", get(packet_page::one))
        .route("/photo/{photo}", get(photos::small))
        .route("/photo/{photo}/whole", get(photos::whole))
        .route("/shop", get(shop_page::form).post(shop_page::keep))
        .route("/shop/shop.toml", get(shop_page::save))
        .route("/shop/file", post(shop_page::take))
        .route("/shop/step", post(shop_page::step))
        .route("/work", get(long_work::list))
        .route("/work/events", get(long_work::events))
        .route("/work/{work}/cancel", post(long_work::cancel))
        .route("/work/test", post(long_work::start_test))
        .route("/pair", get(pair::form).post(pair::pair))
        .fallback(errors::not_found)
        .layer(DefaultBodyLimit::max(BODY_LIMIT_BYTES))
        .layer(from_fn_with_state(Arc::clone(&app), guard::check))
        .with_state(app)
}

/// Renders a page; a template that fails is a fault of the program.
fn page(template: &impl Template) -> Html<String> {
    Html(template.render().unwrap_or_else(|error| {
        eprintln!("a page could not be written: {error}");
        "<!doctype html><title>soundmetal</title><p>This page could not be written; the program's messages say why."
            .to_owned()
    }))
}
