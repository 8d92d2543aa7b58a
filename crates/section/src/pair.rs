//! A pair of mating bolted flanges: two strips that share one edge line.
//!
//! The pair's edge line is where the contact plane (middle of the spacer) meets the outside skins. Each flange's face
//! stands off half the spacer. Holes are station and distance from the edge line in the contact plane, axis square to it.

use crate::error::within;
use crate::{
    Along, CrossSection, EdgeLine, Face, Hand, Link, MakeUp, On, Opening, OpeningShape, Outward, Runs, SectionError,
    Side, Strip, StripEdge, Swept,
};
use serde::{Deserialize, Serialize};
use std::f64::consts::PI;

/// One hole through both flanges.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairHole {
    /// Name printed beside it.
    pub name: String,
    /// Arc length along the shared edge line.
    pub station_mm: f64,
    /// Distance from the edge line in the contact plane.
    pub distance_mm: f64,
    /// Diameter.
    pub diameter_mm: f64,
    /// Reach of its place.
    pub reach_mm: f64,
    /// Half the play the bolt has (ISO 273 clearance / 2).
    pub half_clearance_mm: f64,
}

/// One of the two strips.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PairMember {
    /// "upper flange".
    pub name: String,
    /// Up: skin leaves the edge line along +u; down: along −u.
    pub runs: Runs,
    /// Opening angle between skin and flange, rad, along the stations (acute and obtuse both normal).
    pub opening_angle_rad: Along,
    /// Inside radius of the fold.
    pub inside_radius_mm: f64,
    /// Flange width in the contact plane, from the edge line.
    pub flange_width_mm: Along,
    /// Skin links above the fold (the first link starts at the edge line).
    pub skin: Vec<Link>,
    /// Sheet.
    pub thickness_mm: f64,
    /// Material key in the handbook.
    pub material: String,
}

/// The pair.
#[derive(Debug, Clone)]
pub struct FlangePair {
    /// Shared edge line.
    pub edge_line: EdgeLine,
    /// Outward vector(s).
    pub outward: Outward,
    /// Direction of the contact plane away from the edge line, as an angle in the (o, u) plane measured from −o
    /// (straight into the vehicle) towards +u, rad.
    pub contact_angle_rad: Along,
    /// Spacer thickness between the flange faces.
    pub spacer_mm: f64,
    /// Holes through both.
    pub holes: Vec<PairHole>,
    /// First and second member.
    pub members: [PairMember; 2],
}

impl FlangePair {
    /// The two strips: skin from the edge line, flange on the finished edge along the contact plane, one hole list mapped onto both.
    ///
    /// Each strip covers the whole edge line. The stand-off of each flange is half the spacer, so its apex lies
    /// stand-off / sin(opening) up the skin and a hole at distance d lies at d − stand-off · cot(opening) from the apex.
    ///
    /// # Errors
    /// What [`crate::Swept::new`] finds in either strip; an opening angle outside 10°–179°; a spacer outside 0–100 mm.
    pub fn strips(&self) -> Result<[Strip; 2], SectionError> {
        within("the spacer", self.spacer_mm, 0.0..=100.0, "mm")?;
        let first = self.strip(&self.members[0])?;
        let second = self.strip(&self.members[1])?;
        Swept::new(&first)?;
        Swept::new(&second)?;
        Ok([first, second])
    }

    fn strip(&self, member: &PairMember) -> Result<Strip, SectionError> {
        let angle_stations = self.angle_stations(member)?;
        let openings = angle_stations.iter().map(|&station| (station, member.opening_angle_rad.at(station)));
        for (station, opening) in openings.clone() {
            let name = format!("the opening angle of {} at station {station:.1} mm", member.name);
            within(name, opening, 10f64.to_radians()..=179f64.to_radians(), "rad")?;
        }
        let bend_angle_rad = Along::Stations(openings.map(|(station, opening)| (station, PI - opening)).collect());
        let flange = MakeUp::Flange {
            bend_angle_rad,
            inside_radius_mm: member.inside_radius_mm,
            width_mm: member.flange_width_mm.clone(),
            turns: Side::Inside,
            stand_off_mm: 0.5 * self.spacer_mm,
            relief: crate::FlangeRelief::None,
        };
        Ok(Strip {
            name: member.name.clone(),
            hand: Hand::Left,
            mirrored: false,
            edge_line: self.edge_line.clone(),
            outward: self.outward.clone(),
            face: Face::Outside,
            runs: member.runs,
            sections: angle_stations.iter().map(|&station| self.section(member, station)).collect(),
            from_mm: 0.0,
            to_mm: self.edge_line.length_mm(),
            spare_from_mm: 0.0,
            spare_to_mm: 0.0,
            thickness_mm: member.thickness_mm,
            material: member.material.clone(),
            finished_edge: vec![flange],
            cut_edge: Vec::new(),
            openings: self.holes.iter().map(PairHole::opening).collect(),
            reach_mm: 0.0,
            makes: crate::Makes::Body,
            under_mm: 0.0,
        })
    }

    /// Stations at which the contact angle or the opening angle is given; one at least.
    fn angle_stations(&self, member: &PairMember) -> Result<Vec<f64>, SectionError> {
        let lists = [&self.contact_angle_rad, &member.opening_angle_rad];
        for along in lists {
            if let Along::Stations(list) = along {
                if list.is_empty() {
                    return Err(crate::error::none("flange angles"));
                }
                crate::error::rising("flange angle", list.iter().map(|(station, _)| *station))?;
            }
        }
        let mut out: Vec<f64> = lists.iter().flat_map(|along| along.breaks_mm()).collect();
        if out.is_empty() {
            out.push(0.0);
        }
        out.sort_by(f64::total_cmp);
        out.dedup();
        Ok(out)
    }

    /// Skin direction: the contact direction turned by the opening angle towards the outside.
    fn section(&self, member: &PairMember, station_mm: f64) -> CrossSection {
        let contact = self.contact_angle_rad.at(station_mm);
        let opening = member.opening_angle_rad.at(station_mm);
        let contact_direction = match member.runs {
            Runs::Up => contact - 0.5 * PI,
            Runs::Down => -contact - 0.5 * PI,
        };
        CrossSection { station_mm, start_angle_rad: contact_direction + opening, links: member.skin.clone() }
    }
}

impl PairHole {
    fn opening(&self) -> Opening {
        Opening {
            name: self.name.clone(),
            on: On::StripMakeUp { edge: StripEdge::Finished, index: 0 },
            along_mm: self.station_mm,
            from_edge_mm: self.distance_mm,
            shape: OpeningShape::Round { diameter_mm: self.diameter_mm },
            reach_mm: self.reach_mm,
            half_clearance_mm: Some(self.half_clearance_mm),
        }
    }
}
