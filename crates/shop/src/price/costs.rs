//! What a section costs besides its minutes: metal, consumables, packing, carriage.

use super::{amount, decimal, money, share, to_f64, with_margin};
use crate::work::{bounds_mm, outline_length_mm};
use crate::{
    ConsumablePer, LineClass, PieceWork, QuoteLine, SectionWork, SheetStock, ShopError, ShopSettings, choose_sheet,
    choose_wire,
};
use handbook::{Source, Working};
use rust_decimal::Decimal;
use units::{Money, format_mm};

/// Costs with their printed lines.
pub(super) struct Costs {
    /// Price of one hour.
    pub hour: Decimal,
    /// Sheet and wire, exact.
    pub material: Decimal,
    /// Consumables, exact.
    pub consumables: Decimal,
    /// Material and consumable lines.
    pub lines: Vec<QuoteLine>,
    /// Packing and carriage lines; they carry no overhead and no margin.
    pub carriage: Vec<QuoteLine>,
}

impl Costs {
    pub(super) fn of(section: &SectionWork<'_>, settings: &ShopSettings) -> Result<Self, ShopError> {
        let hour = required("hourly rate", "money.hour", settings.money.hour.as_deref(), settings)?;
        let mut costs =
            Self { hour, material: Decimal::ZERO, consumables: Decimal::ZERO, lines: Vec::new(), carriage: Vec::new() };
        for piece in &section.pieces {
            costs.sheet(piece, section, settings)?;
            costs.wire(piece, section, settings)?;
        }
        costs.use_up(section, settings)?;
        costs.carry(section, settings)?;
        Ok(costs)
    }

    /// Labour of a number of minutes, exact.
    pub(super) fn labour(&self, minutes: f64) -> Result<Decimal, ShopError> {
        Ok(self.hour * decimal("minutes", minutes)? / Decimal::from(60))
    }

    /// Overhead on labour, material and consumables, exact.
    pub(super) fn overhead(&self, labour: Decimal, settings: &ShopSettings) -> Result<Decimal, ShopError> {
        let rate = share("money.overhead_percent", settings.money.overhead_percent)?;
        Ok((labour + self.material + self.consumables) * rate)
    }

    /// Net price for a number of minutes, rounded once.
    pub(super) fn net(&self, minutes: f64, settings: &ShopSettings) -> Result<Money, ShopError> {
        let labour = self.labour(minutes)?;
        let cost = labour + self.material + self.consumables + self.overhead(labour, settings)?;
        let carriage: Decimal = self.carriage.iter().map(|line| line.amount.to_decimal()).sum();
        money(with_margin(cost, settings)? + carriage, settings)
    }

    pub(super) fn overhead_working(&self, labour: Decimal, overhead: Decimal, settings: &ShopSettings) -> Working {
        let code = settings.money.currency.code();
        Working::new(
            "overhead",
            to_f64(overhead),
            code,
            "(labour + material + consumables)·rate",
            Source::text("cost accounting", "E1"),
        )
        .with("labour", "minutes at the hourly rate", to_f64(labour), code)
        .with("material", "sheet and wire", to_f64(self.material), code)
        .with("consumables", "used up", to_f64(self.consumables), code)
        .with("rate", "overhead", settings.money.overhead_percent, "%")
    }

    pub(super) fn margin_working(
        &self,
        labour: Decimal,
        overhead: Decimal,
        margin: Money,
        settings: &ShopSettings,
    ) -> Working {
        let code = settings.money.currency.code();
        let cost = labour + self.material + self.consumables + overhead;
        Working::new(
            "margin",
            to_f64(margin.to_decimal()),
            code,
            "cost/(1 − m) − the lines above; costs carried exact, the net rounded once",
            Source::text("cost accounting", "E1"),
        )
        .with("cost", "labour, material, consumables, overhead, exact", to_f64(cost), code)
        .with("m", "margin of the price", settings.money.margin_percent, "%")
    }

    fn sheet(
        &mut self,
        piece: &PieceWork<'_>,
        section: &SectionWork<'_>,
        settings: &ShopSettings,
    ) -> Result<(), ShopError> {
        let blank = piece.blank;
        let gap_mm = settings.allowances.blank_gap_mm;
        let [x_mm, y_mm] = bounds_mm(blank);
        let taken_mm = [x_mm + gap_mm, y_mm + gap_mm];
        let within_mm = settings.allowances.sheet_within_mm;
        let sheet = choose_sheet(&settings.sheets, &blank.material, blank.thickness_mm, taken_mm, within_mm)
            .ok_or_else(|| no_sheet(blank, settings))?;
        let border_mm = 2.0 * settings.allowances.sheet_border_mm;
        let usable_mm2 = (sheet.width_mm - border_mm).max(1.0) * (sheet.length_mm - border_mm).max(1.0);
        let taken_mm2 = taken_mm[0] * taken_mm[1];
        let each = amount(&sheet.price, settings.money.currency).map_err(|error| in_stock("sheet.price", error))?;
        let cost = each * decimal("share of a sheet", taken_mm2 / usable_mm2 * section.count())?;
        self.material += cost;
        self.lines.push(QuoteLine {
            what: format!(
                "sheet {} {}: {}",
                blank::material_name(&sheet.material),
                format_mm(sheet.thickness_mm, 2),
                blank.piece
            ),
            class: LineClass::Material,
            quantity: format!("{:.3} m²", taken_mm2 * section.count() / 1e6),
            amount: money(cost, settings)?,
            working: sheet_working(sheet, cost, taken_mm2, usable_mm2, section, settings).with(
                "net",
                "net area of the blank",
                blank.area_mm2 / 1e6,
                "m²",
            ),
        });
        Ok(())
    }

    fn wire(
        &mut self,
        piece: &PieceWork<'_>,
        section: &SectionWork<'_>,
        settings: &ShopSettings,
    ) -> Result<(), ShopError> {
        for wire in &piece.blank.wires {
            let (stock, _) = choose_wire(&settings.wires, wire.diameter_mm)
                .filter(|(_, off_mm)| off_mm.abs() <= settings.allowances.wire_within_mm)
                .ok_or(ShopError::NoWire { diameter_mm: wire.diameter_mm })?;
            let per_metre = amount(&stock.price_per_metre, settings.money.currency)
                .map_err(|error| in_stock("wire.price_per_metre", error))?;
            let metres = wire.cut_length_mm * section.count() / 1000.0;
            let cost = per_metre * decimal("length of wire", metres)?;
            self.material += cost;
            let code = settings.money.currency.code();
            self.lines.push(QuoteLine {
                what: format!("wire {}: {}", stock.name, blank_name(piece)),
                class: LineClass::Material,
                quantity: format!("{metres:.2} m"),
                amount: money(cost, settings)?,
                working: Working::new(
                    "wire",
                    to_f64(cost),
                    code,
                    "L·price",
                    Source::shop_setting("the shop's wire list"),
                )
                .with("L", "cut length of the lot", metres, "m")
                .with("price", "of one metre", to_f64(per_metre), code),
            });
        }
        Ok(())
    }

    fn use_up(&mut self, section: &SectionWork<'_>, settings: &ShopSettings) -> Result<(), ShopError> {
        let count = section.count();
        let of_pieces = |size: fn(&PieceWork<'_>) -> f64| count * section.pieces.iter().map(size).sum::<f64>();
        for consumable in &settings.consumables {
            let (number, unit) = match consumable.per {
                ConsumablePer::Section => (count, ""),
                ConsumablePer::WeldMetre => {
                    let corners = of_pieces(|piece| piece.welded_corners_mm.iter().sum::<f64>() / 1000.0);
                    (corners + count * section.welded_seams_m(), " m")
                }
                ConsumablePer::SquareMetre => (of_pieces(|piece| 2.0 * piece.blank.area_mm2 / 1e6), " m²"),
                ConsumablePer::EdgeMetre => (of_pieces(|piece| outline_length_mm(piece.blank) / 1000.0), " m"),
            };
            let used = number * consumable.amount;
            if used == 0.0 {
                continue;
            }
            let each = amount(&consumable.price, settings.money.currency)
                .map_err(|error| in_stock("consumable.price", error))?;
            let cost = each * decimal("amount of a consumable", used)?;
            self.consumables += cost;
            let code = settings.money.currency.code();
            self.lines.push(QuoteLine {
                what: consumable.name.clone(),
                class: LineClass::Consumables,
                quantity: format!("{used:.2}{unit}"),
                amount: money(cost, settings)?,
                working: Working::new(
                    consumable.name.clone(),
                    to_f64(cost),
                    code,
                    "n·amount·price",
                    Source::shop_setting("the shop's consumables"),
                )
                .with("n", "number counted", number, unit.trim())
                .with("amount", "used for each", consumable.amount, "")
                .with("price", "of one", to_f64(each), code),
            });
        }
        Ok(())
    }

    fn carry(&mut self, section: &SectionWork<'_>, settings: &ShopSettings) -> Result<(), ShopError> {
        let longest_mm = section
            .pieces
            .iter()
            .flat_map(|piece| {
                let [x_mm, y_mm] = bounds_mm(piece.blank);
                let wires = piece.blank.wires.iter().map(|wire| wire.cut_length_mm);
                wires.chain([x_mm.max(y_mm)])
            })
            .fold(0.0, f64::max);
        let parcel = longest_mm <= settings.money.parcel_up_to_mm;
        let (what, key, text) = if parcel {
            ("carriage, parcel", "money.carriage_parcel", &settings.money.carriage_parcel)
        } else {
            ("carriage, long goods", "money.carriage_long", &settings.money.carriage_long)
        };
        for (what, key, text) in [("packing", "money.packing", &settings.money.packing), (what, key, text)] {
            let each = required(what, key, text.as_deref(), settings)?;
            let code = settings.money.currency.code();
            self.carriage.push(QuoteLine {
                what: what.into(),
                class: LineClass::Carriage,
                quantity: format!("longest {}", format_mm(longest_mm, 0)),
                amount: money(each, settings)?,
                working: Working::new(
                    what,
                    to_f64(each),
                    code,
                    "one for the lot",
                    Source::shop_setting("the shop's carriage"),
                )
                .with("longest", "longest piece, in the flat", longest_mm, "mm")
                .with("limit", "longest that goes as a parcel", settings.money.parcel_up_to_mm, "mm"),
            });
        }
        Ok(())
    }
}

fn blank_name<'a>(piece: &'a PieceWork<'_>) -> &'a str {
    &piece.blank.piece
}

pub(super) fn required(
    what: &str,
    key: &str,
    text: Option<&str>,
    settings: &ShopSettings,
) -> Result<Decimal, ShopError> {
    let text = text.ok_or_else(|| ShopError::NoRate { what: what.into(), key: key.into() })?;
    amount(text, settings.money.currency).map_err(|error| ShopError::Money { key: key.into(), error })
}

fn in_stock(key: &str, error: units::MoneyError) -> ShopError {
    ShopError::Money { key: key.into(), error }
}

fn no_sheet(blank: &blank::Blank, settings: &ShopSettings) -> ShopError {
    let have: Vec<String> = settings
        .sheets
        .iter()
        .map(|sheet| format!("{} {}", sheet.material, format_mm(sheet.thickness_mm, 2)))
        .collect();
    ShopError::NoSheet {
        material: blank.material.clone(),
        thickness_mm: blank.thickness_mm,
        have: if have.is_empty() { "none".into() } else { have.join(", ") },
    }
}

fn sheet_working(
    sheet: &SheetStock,
    cost: Decimal,
    taken_mm2: f64,
    usable_mm2: f64,
    section: &SectionWork<'_>,
    settings: &ShopSettings,
) -> Working {
    let code = settings.money.currency.code();
    let each = amount(&sheet.price, settings.money.currency).map(to_f64).unwrap_or(f64::NAN);
    Working::new(
        "sheet",
        to_f64(cost),
        code,
        "price·q·A/U: gross share of a sheet, the box round the blank with its gap",
        Source::text("cost accounting: gross share unless the remnant is stored", "E3"),
    )
    .with("price", "of one sheet", each, code)
    .with("q", "quantity", section.count(), "")
    .with("A", "box round the blank with its gap", taken_mm2 / 1e6, "m²")
    .with("U", "sheet less its border", usable_mm2 / 1e6, "m²")
}
