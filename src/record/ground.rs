//! What lies round a drain in the ground: bed, concrete and its joints, protection, designs, settlement.

use crate::record::item::FieldSpec;
use crate::record::item::ItemKind;
use crate::record::item::item;
use crate::record::node::Body;
use crate::record::node::Node;
use crate::record::pipework::Pipe;
use crate::record::quantity::LevelAt;
use crate::record::quantity::Measure;
use crate::record::sections::Item;
use crate::record::sections::Record;
use crate::record::value::Cx;
use crate::record::value::Value;
use crate::record::words::BedClass;
use crate::record::words::Ref;
use crate::record::words::Words;
use crate::record::words::YesNo;
use serde_json::Value as Json;
use serde_json::json;

item! {
    /// Movement joints through concrete round a pipe.
    Joints {
        /// Whether there is one at every socket or sleeve of the pipe.
        at_sockets "at-sockets": YesNo = "yes";
        /// How far it is from one to the next, where they are not at every socket.
        every "every": Measure = "5 m";
        /// The thickness of the compressible board in them.
        board "board": Measure = "13 mm";
    }
}
item! {
    /// A slab that bridges a drain.
    Slab {
        /// The depth of stone or other soft fill between the crown and the slab.
        cushion "cushion": Measure = "75 mm";
        /// How far the slab bears on undug ground at each side.
        bearing "bearing": Measure = "300 mm";
        /// Whether it is of reinforced concrete.
        reinforced "reinforced": YesNo = "yes";
    }
}
item! {
    /// Concrete all round a drain.
    Encasement {
        /// Its least thickness.
        thick "thick": Measure = "150 mm";
        /// Whether it is reinforced.
        reinforced "reinforced": YesNo = "yes";
        /// Whether it is one with the slab above it.
        with_slab "with-slab": YesNo = "yes";
        /// Its movement joints.
        joints "joints": Joints = "{at-sockets: yes, board: 13 mm}";
    }
}
item! {
    /// What protects a drain: a slab, or concrete all round.
    Guard {
        /// A slab over it.
        slab "slab": Slab = "{cushion: 75 mm, bearing: 300 mm}";
        /// Concrete round it.
        encasement "encasement": Encasement = "{thick: 150 mm, joints: {at-sockets: yes, board: 13 mm}}";
    }
}
item! {
    /// A calculation by which a drain was designed.
    Design {
        /// The standard it follows.
        to "to": Words = "BS EN 1295";
        /// The paper it stands in.
        doc "doc": Ref = "C3";
    }
}
item! {
    /// What lets a drain follow a ground that settles.
    Settlement {
        /// Whether it has more flexible joints than usual.
        extra_joints "extra-joints": YesNo = "yes";
        /// Whether it hangs from the building.
        suspended "suspended": YesNo = "no";
    }
}

/// What protects a drain: in free words, or with its measures.
#[derive(Clone, Debug, PartialEq)]
pub enum Protection {
    /// In words, which nothing can be held against.
    Said(String),
    /// With its measures.
    Is(Box<Guard>),
}

impl Value for Protection {
    const FORM: &'static str =
        "{slab: {cushion: 75 mm, bearing: 300 mm}}, {encasement: {thick: 150 mm}}, or a few words";
    const FREE: bool = true;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        if let Body::Map(_) = node.body {
            return crate::record::item::decode(node, cx).map(|guard| Protection::Is(Box::new(guard)));
        }
        <Words as Value>::read(node, cx).map(|words| Protection::Said(words.0))
    }

    fn schema() -> Json {
        json!({"anyOf": [<Words as Value>::schema(), crate::record::schema::of_item::<Guard>()]})
    }

    fn parts() -> Vec<FieldSpec> {
        Guard::fields()
    }
}

item! {
    /// Bed and surround of a drain.
    BedSpec {
        /// The size of the stone.
        stone "stone": Measure = "10 mm";
        /// Its depth under the pipe.
        under "under": Measure = "100 mm";
        /// Its depth over the pipe.
        over "over": Measure = "100 mm";
        /// Its width at each side of the pipe.
        sides "sides": Measure = "150 mm";
        /// The class of a bed: D on the trimmed bottom, N and F flat, B up to the middle of the pipe, S all round.
        class "class": BedClass = "S";
        /// How far over the pipe the fill is selected: free of stones over 40 mm and of big lumps.
        selected_fill "selected-fill": Measure = "300 mm";
        /// How it was filled and compacted.
        fill "fill": Words = "by hand in layers of 100 mm";
        /// What lies clear under each socket.
        sockets "sockets": Measure = "50 mm";
        /// Concrete, when it is that.
        concrete "concrete": Words = "full surround";
        /// The level up to which the trench is filled with concrete.
        concrete_to "concrete-to": LevelAt = "TBM - 1.250 m";
        /// The movement joints of that concrete.
        joints "joints": Joints = "{at-sockets: yes, board: 13 mm}";
    }
}

/// Bed and surround: said, or the same as another pipe's.
#[derive(Clone, Debug, PartialEq)]
pub enum Bed {
    /// As another pipe's.
    As(String),
    /// As said.
    Is(Box<BedSpec>),
}

impl Value for Bed {
    const FORM: &'static str = "`as D1`, or {stone: 10 mm, under: 100 mm, over: 100 mm}";
    const KNOWN: bool = false;

    fn read(node: &Node, cx: &mut Cx<'_>) -> Option<Self> {
        if let Body::Map(_) = node.body {
            return crate::record::item::decode(node, cx).map(|spec| Bed::Is(Box::new(spec)));
        }
        match node.text().and_then(|t| t.trim().strip_prefix("as ")) {
            Some(id) if !id.trim().contains(' ') && !id.trim().is_empty() => Some(Bed::As(id.trim().to_owned())),
            _ => {
                cx.wrong(node, Self::FORM);
                None
            }
        }
    }

    fn schema() -> Json {
        json!({"anyOf": [{"type": "string", "pattern": "^\\s*as +\\S+\\s*$"}, crate::record::schema::of_item::<BedSpec>()]})
    }

    fn parts() -> Vec<FieldSpec> {
        BedSpec::fields()
    }
}

/// Bed and surround of a drain with the id of the pipe that says them, by way of those it is the same as.
pub fn bed_of<'a>(record: &'a Record, item: &'a Item<Pipe>) -> Option<(&'a str, &'a BedSpec)> {
    let mut item = item;
    for _ in 0..=record.pipes.len() {
        match item.body.bed.get()? {
            Bed::Is(spec) => return Some((&item.id, spec)),
            Bed::As(other) => item = record.pipes.get(other)?,
        }
    }
    None
}

/// The path of a field of a drain's bed: in the pipe that says it, else in its own.
pub fn bed_path(record: &Record, item: &Item<Pipe>, key: &str) -> String {
    let owner = bed_of(record, item).map_or(item.id.as_str(), |(id, _)| id);
    format!("pipes.{owner}.bed.{key}")
}

impl Pipe {
    /// The concrete round it, where the record tells its measures.
    pub fn encasement(&self) -> Option<&Encasement> {
        match self.protection.get()? {
            Protection::Is(guard) => guard.encasement.get(),
            Protection::Said(_) => None,
        }
    }
}
