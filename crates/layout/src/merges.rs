//! Merges in space: where their legs stand, and how each leg and outlet is cut.

use std::f64::consts::TAU;

use geom::math::sin_cos;
use geom::{DVec3, Frame};
use spec::Design;
use spec::design::{From, Inlets, To, Way};
use tube::merge::{Cluster, LegCut, Outlet, OutletError, ScallopCut};
use tube::{Body, Centreline, Cut, Piece, Shape};

use crate::layout::{Fault, Leg, Make, Merge, Owner, Part};

/// A merge's geometry before any piece is made.
pub(crate) struct MergeFrame {
    /// The mouth, clock 0 where leg 1 stands.
    pub frame: Frame,
    /// The legs' shared geometry.
    pub cluster: Cluster,
    /// What ends the legs beyond their neighbours.
    pub outlet: Outlet,
    /// z of the mouth from the apex, mm.
    pub mouth: f64,
    /// Outside diameter at the mouth, mm.
    pub mouth_od: f64,
    /// s of the inlet faces on the legs, mm.
    pub inlet: f64,
    /// Index of the run that leaves it.
    pub run: usize,
}

impl MergeFrame {
    /// The point in which the legs' centrelines meet.
    pub fn apex(&self) -> DVec3 {
        self.frame.at - self.frame.along * self.mouth
    }

    /// Azimuth of leg `leg` (from 0), rad.
    pub fn azimuth(&self, leg: usize) -> f64 {
        TAU * leg as f64 / self.cluster.legs as f64
    }

    /// Direction of travel of leg `leg`, and its outward radial.
    fn leg_axes(&self, leg: usize) -> (DVec3, DVec3) {
        let outward = self.frame.outward(self.azimuth(leg));
        let (s, c) = sin_cos(self.cluster.convergence);
        ((self.frame.along * c - outward * s).normalize(), self.frame.along * s + outward * c)
    }

    /// The inlet face of leg `leg`: travel downstream, clock 0 nearest to +z (else +x).
    pub fn inlet(&self, leg: usize) -> Frame {
        let (along, _) = self.leg_axes(leg);
        let at = self.apex() + along * self.inlet;
        Frame::upright(at, along).unwrap_or(Frame { at, along, inside: self.frame.outward(0.0) })
    }

    /// The cut of the outlet's (or cone's) start on a piece whose start frame is `start`, at the mouth.
    pub fn outlet_cut(&self, start: Frame) -> Cut {
        match self.outlet {
            Outlet::Sawn(_) => Cut::square(0.0),
            Outlet::Round { .. } => Cut {
                station: -self.mouth,
                roll: start.clock_of(self.frame.inside),
                shape: Shape::Scallop(ScallopCut { cluster: self.cluster }),
            },
        }
    }
}

/// The geometry of every merge; what keeps one from being laid out goes into `faults`.
pub(crate) fn frames(design: &Design, faults: &mut Vec<Fault>) -> Vec<MergeFrame> {
    (0..design.merges.len()).filter_map(|m| frame(design, m).map_err(|f| faults.push(f)).ok()).collect()
}

/// Every merge in space; its legs' and cones' pieces are added to `pieces`.
pub(crate) fn lay(
    design: &Design,
    frames: Vec<MergeFrame>,
    pieces: &mut Vec<Part>,
    faults: &mut Vec<Fault>,
) -> Vec<Merge> {
    let mut merges = Vec::with_capacity(frames.len());
    for (index, merge) in frames.iter().enumerate() {
        let wanted = &design.merges[index];
        let mut legs = Vec::new();
        for leg in 0..wanted.legs {
            let ends_here = |r: &spec::design::Run| r.to == To::Leg { merge: index, leg };
            let Some(run) = design.runs.iter().position(ends_here) else { continue };
            let mark = format!("{}-L{}", wanted.name, leg + 1);
            match leg_piece(merge, wanted.section, leg) {
                Some(piece) => {
                    legs.push(Leg {
                        piece: pieces.len(),
                        run,
                        azimuth: merge.azimuth(leg),
                        inlet: piece.frame_at(0.0),
                        to_tip: merge.cluster.tip() - merge.inlet,
                    });
                    pieces.push(part(mark, index, leg + 1, piece, Make::Straight, design));
                }
                None => faults.push(Fault {
                    key: format!("merge.{}", wanted.name),
                    code: "leg-without-length",
                    message: format!("leg {} of merge `{}` has no metal left", leg + 1, wanted.name),
                    help: "make inlet_gap or leg_length larger".into(),
                }),
            }
        }
        let cone = wanted.cone.and_then(|_| cone_piece(design, merge, index)).map(|piece| {
            pieces.push(part(
                format!("{}-C", wanted.name),
                index,
                wanted.legs + 1,
                piece,
                Make::Cone,
                design,
            ));
            pieces.len() - 1
        });
        merges.push(laid(design, merge, index, legs, cone));
    }
    merges
}

fn laid(design: &Design, merge: &MergeFrame, index: usize, legs: Vec<Leg>, cone: Option<usize>) -> Merge {
    let cluster = merge.cluster;
    let sawn = matches!(merge.outlet, Outlet::Sawn(_));
    let perimeter = |rho: f64| cluster.outline_perimeter(merge.mouth, rho);
    let valley = cluster.valley_radius(merge.mouth, cluster.outer);
    Merge {
        name: design.merges[index].name.clone(),
        frame: merge.frame,
        apex: merge.apex(),
        cluster,
        way: design.merges[index].way,
        mouth: merge.mouth,
        mouth_od: merge.mouth_od,
        outline: sawn.then(|| [perimeter(cluster.outer), perimeter(cluster.inner)]),
        lobe_and_valley: valley
            .filter(|_| sawn)
            .map(|valley| [cluster.lobe_radius(merge.mouth, cluster.outer), valley]),
        legs,
        outlet: merge.run,
        cone,
        plug: None,
    }
}

fn frame(design: &Design, index: usize) -> Result<MergeFrame, Fault> {
    let merge = &design.merges[index];
    let fault = |part: &str, code, message: String, help: String| Fault {
        key: format!("merge.{}{part}", merge.name),
        code,
        message,
        help,
    };
    let run = design.runs.iter().position(|r| r.from == From::Merge(index)).ok_or_else(|| {
        fault("", "no-outlet", format!("no run leaves merge `{}`", merge.name), "add a run from it".into())
    })?;
    let section = merge.section;
    let cluster = Cluster {
        legs: merge.legs,
        convergence: merge.convergence,
        outer: section.outer(),
        inner: section.inner(),
    };
    let outlet_od = design.runs[run].sections[0].section.od;
    let mouth_od = merge.cone.map_or(outlet_od, |c| c.mouth);
    let slope = merge.cone.map_or(0.0, |c| 0.5 * (outlet_od - c.mouth) / c.length);
    let outlet = match merge.way {
        Way::Trimmed => cluster.saw_plane(mouth_od).map(Outlet::Sawn),
        Way::Fitted => cluster.fitted_outlet(mouth_od, slope),
    };
    let outlet = outlet.map_err(|e| Fault {
        key: match merge.cone {
            Some(_) if e == OutletError::TooSteep => format!("merge.{}.cone", merge.name),
            Some(_) => format!("merge.{}.cone.mouth", merge.name),
            None => format!("run.{}.tube", design.runs[run].name),
        },
        ..outlet_fault(&fault, merge, mouth_od, e)
    })?;
    let mouth = match outlet {
        Outlet::Sawn(z) => z,
        Outlet::Round { from, .. } => from,
    };
    let inlet = match merge.inlets {
        Inlets::Gap(gap) => cluster.inlet_for_gap(gap),
        Inlets::Length(length) => cluster.tip() - length,
    };
    let contact = cluster.first_contact(cluster.outer).along_leg;
    if cluster.gap_at(inlet) < -1e-9 {
        return Err(fault(
            "",
            "legs-overlap",
            format!(
                "the legs of merge `{}` run into each other at their inlet faces: they first touch {:.2} mm \
                 ahead of the merge tip",
                merge.name,
                cluster.tip() - contact
            ),
            format!("make leg_length at least {:.2} mm", cluster.tip() - cluster.inlet_for_gap(0.0)),
        ));
    }
    let frame = Frame { at: merge.at, along: merge.along, inside: merge.inside };
    Ok(MergeFrame { frame, cluster, outlet, mouth, mouth_od, inlet, run })
}

fn outlet_fault(
    fault: &impl Fn(&str, &'static str, String, String) -> Fault,
    merge: &spec::design::Merge,
    od: f64,
    error: OutletError,
) -> Fault {
    let what = if merge.cone.is_some() { "the cone's mouth" } else { "the outlet" };
    let why = match merge.way {
        Way::Trimmed => "the saw would cut the legs upstream of the spike",
        Way::Fitted => "it would leave holes between the legs",
    };
    match error {
        OutletError::TooLarge(largest) => fault(
            "",
            "outlet-too-wide",
            format!("{what} of {od:.2} mm is too wide for the legs of merge `{}`: {why}", merge.name),
            format!("the largest that these legs take is {:.2} mm", (largest * 100.0).floor() / 100.0),
        ),
        OutletError::TooSmall(smallest) => fault(
            "",
            "outlet-too-narrow",
            format!("{what} of {od:.2} mm is narrower than the outline of merge `{}` ever gets", merge.name),
            format!("the smallest that these legs take is {:.2} mm", (smallest * 100.0).ceil() / 100.0),
        ),
        OutletError::TooSteep => fault(
            "",
            "cone-too-steep",
            "the cone narrows as fast as the legs converge, so that they never land on it".into(),
            "make the cone longer, or join it with way = \"trimmed\"".into(),
        ),
    }
}

fn part(mark: String, merge: usize, order: usize, piece: Piece, make: Make, design: &Design) -> Part {
    let half = 0.5 * design.shop.weld_shrinkage;
    let shrinkage = if make == Make::Straight { [half, 0.0] } else { [0.0, 0.0] };
    Part { mark, owner: Owner::Merge(merge), order, piece, make, shrinkage }
}

fn leg_piece(merge: &MergeFrame, section: tube::Section, leg: usize) -> Option<Piece> {
    let inlet = merge.inlet(leg);
    let (_, radial) = merge.leg_axes(leg);
    let cut = Cut {
        station: -merge.inlet,
        roll: inlet.clock_of(radial),
        shape: Shape::Leg(LegCut { cluster: merge.cluster, outlet: merge.outlet }),
    };
    Piece::tube(Centreline::straight(inlet, -merge.inlet), section, Cut::square(0.0), cut)
}

fn cone_piece(design: &Design, merge: &MergeFrame, index: usize) -> Option<Piece> {
    let cone = design.merges[index].cone?;
    let frame = Frame::upright(merge.frame.at, merge.frame.along)?;
    let body = Body::Cone {
        frame,
        start_od: cone.mouth,
        end_od: cone.section.od,
        length: cone.length,
        wall: cone.section.wall,
        alloy: cone.section.alloy,
    };
    Piece::cone(body, merge.outlet_cut(frame))
}
