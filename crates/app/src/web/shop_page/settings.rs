//! What stands on the page of the shop: every setting with its name in the trade and how it is written.

use crate::words::metals;
use units::Currency;

/// How a setting is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Written {
    /// One line.
    Words,
    /// Two letters of a country (ISO 3166-1 alpha-2).
    Country,
    /// Several lines, one entry each.
    Lines,
    /// An amount of the shop's currency.
    Amount,
    /// A number of this unit.
    Number(&'static str),
    /// A whole number of this unit.
    Whole(&'static str),
    /// A length; a bare number takes the shop's unit.
    Length,
    /// A thickness or a diameter, gauges included.
    Thickness,
    /// An angle in degrees, kept in radians.
    Angle,
    /// One of a few: value and words.
    OneOf(&'static [(&'static str, &'static str)]),
    /// One of the known currencies.
    Currency,
    /// One of the handbook's metals.
    Metal,
    /// Days of the week.
    Days,
}

/// One setting.
#[derive(Debug, Clone, Copy)]
pub struct Setting {
    /// Key in its table.
    pub key: &'static str,
    /// Name in the trade.
    pub label: &'static str,
    /// How it is written.
    pub written: Written,
    /// May be left empty.
    pub optional: bool,
    /// What to write.
    pub hint: &'static str,
}

/// Where the settings of a group stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Place {
    /// In the table of this name; the empty name is the top.
    Table(&'static str),
    /// In a table that is absent when all of it is empty: a machine that is not in the shop.
    Machine(&'static str),
    /// In each row of a list.
    List(&'static str),
    /// In the bend rule, whose choice decides which of them count.
    Bend,
}

/// A group of settings.
#[derive(Debug, Clone, Copy)]
pub struct Group {
    /// Heading; empty when the group goes on under the heading before it.
    pub heading: &'static str,
    /// What it is for.
    pub about: &'static str,
    /// Name of the table or of one row; may be empty.
    pub legend: &'static str,
    /// Where its settings stand.
    pub place: Place,
    /// Its settings.
    pub settings: &'static [Setting],
}

const fn needed(key: &'static str, label: &'static str, written: Written, hint: &'static str) -> Setting {
    Setting { key, label, written, optional: false, hint }
}

const fn optional(key: &'static str, label: &'static str, written: Written, hint: &'static str) -> Setting {
    Setting { key, label, written, optional: true, hint }
}

use Written::{Amount, Angle, Country, Days, Length, Lines, Metal, Number, OneOf, Thickness, Whole, Words};

const UNITS: &[(&str, &str)] = &[("millimetre", "millimetres"), ("inch", "inches"), ("centimetre", "centimetres")];
const ROUNDINGS: &[(&str, &str)] = &[("half_up", "halves up"), ("half_even", "halves to the even figure")];
const LEGS: &[(&str, &str)] = &[
    ("corner", "to the sharp outer corner"),
    ("tangent", "to the outside of the bend (tangent)"),
    ("bend_line", "to the bend line"),
];
const BEND_RULES: &[(&str, &str)] = &[
    ("din6935", "DIN 6935"),
    ("neutral_line", "neutral line at a stated K"),
    ("aircraft_empirical", "empirical rule of aircraft sheet work"),
    ("trade_straight_length.soft_brass_copper", "trade tables: soft brass, soft copper"),
    ("trade_straight_length.soft_steel_aluminium", "trade tables: soft steel, aluminium"),
    ("trade_straight_length.cold_rolled_steel_bronze", "trade tables: cold-rolled steel, bronze"),
    ("shop_coupon", "our own bent strip"),
];
const WIRE_ENDS: &[(&str, &str)] = &[
    ("ask", "ask the customer each time"),
    ("stands_out", "stands out past the sheet"),
    ("flush", "ends with the sheet"),
    ("short", "ends short of the sheet"),
];
const COUNTED_BY: &[(&str, &str)] = &[
    ("section", "each section"),
    ("weld_metre", "each metre welded"),
    ("square_metre", "each square metre primed"),
    ("edge_metre", "each metre of outline deburred"),
];

/// Days of the week: key and name.
pub const DAYS: [(&str, &str); 7] = [
    ("mon", "Monday"),
    ("tue", "Tuesday"),
    ("wed", "Wednesday"),
    ("thu", "Thursday"),
    ("fri", "Friday"),
    ("sat", "Saturday"),
    ("sun", "Sunday"),
];

/// Every group of the page, in its order.
pub const GROUPS: &[Group] = &[
    Group {
        heading: "Who we are",
        about: "Stands at the head of every paper.",
        legend: "",
        place: Place::Table(""),
        settings: &[
            needed("name", "Name of the shop", Words, ""),
            needed("country", "Country (two letters)", Country, "Its rules and its near side hold for new cards"),
            needed("unit", "Unit of a bare number on a new card", OneOf(UNITS), ""),
            optional("address", "Address", Lines, "One line each"),
            optional("contact", "Telephone and mail", Lines, "One line each, as printed"),
        ],
    },
    Group {
        heading: "Money",
        about: "Every amount on this page is in this currency and before tax. Changing the currency converts nothing.",
        legend: "",
        place: Place::Table("money"),
        settings: &[
            needed("currency", "Currency", Written::Currency, ""),
            optional("hour", "One hour at the bench", Amount, "Without it nothing is priced"),
            needed("overhead_percent", "Overhead, % of cost", Number("%"), "Workshop, tools, power"),
            needed("margin_percent", "Margin, % of the price", Number("%"), "Price = cost ÷ (1 − margin)"),
            optional("tax_name", "Name of the tax", Words, "VAT, sales tax"),
            needed("tax_percent", "Tax, % of the net price", Number("%"), ""),
            needed("rounding", "Rounding", OneOf(ROUNDINGS), "The net price once, the tax once"),
            optional("packing", "Packing, each section", Amount, ""),
            optional("carriage_parcel", "Carriage of a parcel", Amount, ""),
            optional("carriage_long", "Carriage of anything longer", Amount, ""),
            needed("parcel_up_to_mm", "Longest piece sent as a parcel", Length, ""),
            needed("shared_reach_percent", "Good or bad week, ± % of the hours", Number("%"), "Widens every band"),
        ],
    },
    Group {
        heading: "Calendar",
        about: "From these comes the date that a quote promises.",
        legend: "",
        place: Place::Table("calendar"),
        settings: &[
            needed("hours_per_week", "Bench hours a week", Number("h"), "Those that really go into jobs"),
            needed("backlog_hours", "Accepted work not yet done", Number("h"), ""),
            needed("backlog_reach_percent", "Good to, ± % of it", Number("%"), ""),
            needed("handling_days", "Days to dry, pack and collect", Whole("days"), ""),
            needed("working_days", "Working days", Days, ""),
            optional("shut", "Days when the shop is shut", Lines, "One date each, as 2026-12-24"),
        ],
    },
    Group {
        heading: "How we bend",
        about: "K and the strip count only with the rule that names them. Bend a strip of your own sheet on your own machine: its \
                figures are the best there are.",
        legend: "",
        place: Place::Bend,
        settings: &[
            needed("rule", "Bend rule", OneOf(BEND_RULES), ""),
            needed("k_factor", "K of the neutral line", Number("× thickness"), "From the inside face; 0 to 0.5"),
            needed("thickness_mm", "Strip: thickness", Thickness, ""),
            needed("inside_radius_mm", "Strip: inside radius that came out", Length, ""),
            needed("bend_angle_rad", "Strip: bend angle, turned from flat", Angle, "90° for a square bend"),
            needed("strip_length_mm", "Strip: length before bending", Length, ""),
            needed("leg_a_mm", "Strip: first leg", Length, ""),
            needed("leg_b_mm", "Strip: second leg", Length, ""),
            needed("legs_to", "Strip: legs measured", OneOf(LEGS), ""),
        ],
    },
    Group {
        heading: "Rules of the trade as we keep them",
        about: "Common practice; change one and every figure follows.",
        legend: "",
        place: Place::Table("rules"),
        settings: &[
            needed("above_bad_depth_mm", "Cut above the proven bad depth", Length, ""),
            needed("spare_end_mm", "Spare length at a free end", Length, ""),
            needed("joggle_run_over_depth", "Run of a step over its depth", Number("× depth"), "Usually 4 to 6"),
            needed("spacer_mm", "Spacer between mating flanges", Length, ""),
            needed("plug_hole_skin_mm", "Plug hole in skin", Length, ""),
            needed("plug_hole_heavy_mm", "Plug hole in heavier sheet", Length, ""),
            needed("pilot_hole_mm", "Pilot hole", Length, ""),
            needed("bonded_lap_mm", "Bonded lap", Length, ""),
            needed("wire_wrap_deg", "Wrap of a wired edge", Number("°"), "Until a trial strip is rolled"),
            needed("wire_stands_out_mm", "Wire standing out, usual", Length, ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "How wires end when nothing is said",
        place: Place::Table("rules.wire_end"),
        settings: &[
            needed("wire_end", "The wire", OneOf(WIRE_ENDS), ""),
            optional("length_mm", "By how much", Length, "Where it stands out or ends short"),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Allowances",
        place: Place::Table("allowances"),
        settings: &[
            needed("least_trim_mm", "Least left on an edge to trim", Length, ""),
            needed("trim_in_reaches", "Trim", Number("× reach of the size"), ""),
            optional("unproven_extra_mm", "Second height where rust is only seen", Length, "Empty takes one lap"),
            needed("hem_radius_per_thickness", "Inside radius of a hem", Number("× thickness"), ""),
            needed("wire_within_mm", "Stock wire taken when within", Length, ""),
            needed("sheet_within_mm", "Stock sheet taken when within", Length, ""),
            needed("hole_reach_mm", "Reach of a hole's place", Length, "Where the pattern says none"),
            needed("blank_gap_mm", "Between blanks on a sheet", Length, ""),
            needed("sheet_border_mm", "Border of a sheet", Length, ""),
            needed("seam_within_mm", "Two edges of a seam may differ by", Length, "beyond the reach of both"),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Double-curved skins",
        place: Place::Table("skins"),
        settings: &[
            needed(
                "route_weight",
                "Wheeling out or gathering in: the other way counts",
                Number("times the work"),
                "10 is ours, no source; more keeps closer to the way chosen",
            ),
            needed("outline_tolerance_mm", "Cut line smoothed by up to", Length, ""),
            needed("corner_gap_mm", "Gap between edges at a corner", Length, "For the weld"),
            needed("seam_margin_mm", "Seam from corners and holes", Length, ""),
            needed("seam_radius_mm", "Tightest curve of a seam", Length, "That is welded and finished without trouble"),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Gathering by hand",
        place: Place::Table("skins.gather"),
        settings: &[
            needed("caution", "Warned of above", Number("of the length"), "0.06 is 6 mm in 100 mm"),
            needed("stop", "Not made in one piece above", Number("of the length"), ""),
        ],
    },
    Group {
        heading: "Machines",
        about: "Leave a machine empty when it is not in the shop; a piece that goes beyond a limit says so before it is cut.",
        legend: "Folder or brake",
        place: Place::Machine("folder"),
        settings: &[
            needed("length_mm", "Longest fold", Length, ""),
            needed("thickest_mm", "Thickest steel over that length", Thickness, ""),
            needed("smallest_inside_radius_mm", "Smallest inside radius", Length, ""),
            needed("smallest_leg_mm", "Shortest leg", Length, ""),
            needed("largest_bend_angle_deg", "Largest bend angle, turned from flat", Number("°"), ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Step rolls",
        place: Place::Machine("joggle_roller"),
        settings: &[
            needed("throat_mm", "From the edge to the frame", Length, ""),
            needed("deepest_mm", "Deepest step", Length, ""),
            needed("thickest_mm", "Thickest steel", Thickness, ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Shear",
        place: Place::Machine("shear"),
        settings: &[
            needed("length_mm", "Longest cut", Length, ""),
            needed("thickest_mm", "Thickest steel", Thickness, ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Wheeling machine",
        place: Place::Machine("wheel"),
        settings: &[
            needed("throat_mm", "From the wheel to the frame", Length, ""),
            needed("thickest_mm", "Thickest steel", Thickness, ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Bending rolls",
        place: Place::Machine("rolls"),
        settings: &[
            needed("width_mm", "Widest sheet", Length, ""),
            needed("smallest_inside_radius_mm", "Smallest inside radius", Length, ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Shrinker and stretcher",
        place: Place::Machine("shrinker"),
        settings: &[
            needed("throat_mm", "Reach of the jaws from the edge", Length, ""),
            needed("thickest_mm", "Thickest steel", Thickness, ""),
        ],
    },
    Group {
        heading: "",
        about: "",
        legend: "Welder: test strip",
        place: Place::Machine("weld_strip"),
        settings: &[
            needed(
                "material",
                "Sheet that was welded",
                Metal,
                "Two pieces, each 150 mm wide and 500 mm long, punch marks beside the seam and across it",
            ),
            needed("width_mm", "Width of the whole strip", Length, ""),
            needed("length_mm", "Between the marks along the seam, before", Length, ""),
            needed("thickness_mm", "Thickness", Thickness, ""),
            needed("net_j_mm", "Heat input, net", Number("J/mm"), "As the card gives it for the settings used"),
            needed("fused_width_mm", "Width of the bead", Length, ""),
            optional("shortening_mm", "Shorter along the seam by", Length, "Pressed flat on a plate, cold"),
            optional("width_loss_mm", "Narrower across the seam by", Length, "The marks on either side of it"),
            needed(
                "reach_mm",
                "± of both readings",
                Length,
                "0.03 mm with a calliper between punch marks; a rule is too coarse",
            ),
        ],
    },
    Group {
        heading: "Sheet in the rack",
        about: "Empty a row to take it out; the empty rows add more.",
        legend: "Sheet",
        place: Place::List("sheet"),
        settings: &[
            needed("material", "Metal", Metal, ""),
            needed("thickness_mm", "Thickness", Thickness, ""),
            needed("width_mm", "Across", Length, ""),
            needed("length_mm", "Along the rolling direction", Length, ""),
            needed("price", "Price of one sheet", Amount, ""),
            optional("count", "Sheets in the rack", Whole("sheets"), ""),
        ],
    },
    Group {
        heading: "Wire and bar",
        about: "",
        legend: "Wire",
        place: Place::List("wire"),
        settings: &[
            needed("name", "Called", Words, ""),
            needed("diameter_mm", "Diameter", Thickness, ""),
            needed("price_per_metre", "Price of one metre", Amount, ""),
            optional("metres", "Metres in the rack", Number("m"), ""),
        ],
    },
    Group {
        heading: "Used up on each job",
        about: "",
        legend: "Item",
        place: Place::List("consumable"),
        settings: &[
            needed("name", "What", Words, ""),
            needed("price", "Price of one unit of it", Amount, ""),
            needed("per", "Counted by", OneOf(COUNTED_BY), ""),
            needed("amount", "How many units each needs", Number(""), ""),
        ],
    },
];

impl Setting {
    /// Whether it decides if a row of a list is filled in: a choice always has a value and tells nothing.
    pub const fn tells(&self) -> bool {
        !matches!(self.written, OneOf(_) | Metal | Written::Currency)
    }

    /// The choices of a setting that has some: value and words.
    pub fn choices(&self) -> Option<Vec<(String, String)>> {
        match self.written {
            OneOf(choices) => Some(choices.iter().map(|(value, words)| ((*value).into(), (*words).into())).collect()),
            Written::Currency => {
                let all = Currency::ALL
                    .iter()
                    .map(|currency| (currency.code().to_owned(), format!("{}, {}", currency.code(), currency.name())));
                Some(all.collect())
            }
            Metal => Some(metals()),
            _ => None,
        }
    }
}
