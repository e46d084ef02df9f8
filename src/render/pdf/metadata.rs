//! What a PDF says of itself: properties, colour, language, and the record it carries.

use crate::render::Job;
use crate::render::Meta;
use crate::render::RenderError;
use lopdf::Dictionary;
use lopdf::Document;
use lopdf::Object;
use lopdf::ObjectId;
use lopdf::Stream;
use lopdf::dictionary;
use md5::Digest;

/// The library that draws the pages.
const PRODUCER: &str = "printpdf 0.12.8";

/// Words as a PDF string: ASCII as it is, all else as UTF-16.
pub fn text_string(words: &str) -> Object {
    if words.is_ascii() {
        return Object::string_literal(words.as_bytes().to_vec());
    }
    let units = std::iter::once(0xfeff).chain(words.encode_utf16());
    Object::string_literal(units.flat_map(u16::to_be_bytes).collect::<Vec<u8>>())
}

/// Sets the catalog, the properties, XMP, colour and the record.
///
/// # Errors
/// When the colour profile cannot be made or the document has no catalog.
pub fn dress(
    pdf: &mut Document,
    job: &Job,
    meta: &Meta,
    (structure, outline): (ObjectId, Option<ObjectId>),
) -> Result<(), RenderError> {
    let attachment = attach(pdf, job, meta);
    let intent = intent(pdf)?;
    let xmp_stream = dictionary! { "Type" => "Metadata", "Subtype" => "XML" };
    let xmp = pdf.add_object(Stream::new(xmp_stream, xmp(meta).into_bytes()).with_compression(false));
    let info = pdf.add_object(info(meta));
    pdf.trailer.set("Info", Object::Reference(info));
    let name = text_string(job.record.name);
    let files = dictionary! { "Names" => Object::Array(vec![name, Object::Reference(attachment)]) };
    let catalog = pdf.catalog_mut().map_err(|e| RenderError::Pdf(e.to_string()))?;
    catalog.set("Lang", text_string(if meta.lang.is_empty() { "en-GB" } else { &meta.lang }));
    catalog.set("MarkInfo", dictionary! { "Marked" => true });
    catalog.set("StructTreeRoot", Object::Reference(structure));
    catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
    catalog.set("OutputIntents", Object::Array(vec![intent]));
    catalog.set("Metadata", Object::Reference(xmp));
    catalog.set("AF", Object::Array(vec![Object::Reference(attachment)]));
    catalog.set("Names", dictionary! { "EmbeddedFiles" => files });
    catalog.set("PageLayout", "SinglePage");
    match outline {
        Some(outline) => {
            catalog.set("Outlines", Object::Reference(outline));
            catalog.set("PageMode", "UseOutlines");
        }
        None => catalog.set("PageMode", "UseNone"),
    }
    Ok(())
}

fn intent(pdf: &mut Document) -> Result<Object, RenderError> {
    let profile = moxcms::ColorProfile::new_srgb().encode();
    let mut profile = profile.map_err(|e| RenderError::Pdf(format!("the sRGB profile cannot be made: {e:?}")))?;
    // The profile's own date comes from the clock; the same document must give the same bytes.
    if let Some(date) = profile.get_mut(24..36) {
        date.copy_from_slice(&[0x07, 0xea, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0]);
    }
    let stream = pdf.add_object(Stream::new(dictionary! { "N" => 3 }, profile));
    Ok(Object::Dictionary(dictionary! {
        "Type" => "OutputIntent",
        "S" => "GTS_PDFA1",
        "OutputConditionIdentifier" => text_string("sRGB"),
        "Info" => text_string("sRGB IEC61966-2.1"),
        "DestOutputProfile" => Object::Reference(stream),
    }))
}

fn attach(pdf: &mut Document, job: &Job, meta: &Meta) -> ObjectId {
    let record = &job.record;
    let params = dictionary! {
        "Size" => record.bytes.len() as i64,
        "ModDate" => text_string(&date(meta)),
        "CheckSum" => Object::string_literal(md5::Md5::digest(record.bytes).to_vec()),
    };
    let about = dictionary! { "Type" => "EmbeddedFile", "Subtype" => record.media_type, "Params" => params };
    let file = pdf.add_object(Stream::new(about, record.bytes.to_vec()));
    pdf.add_object(dictionary! {
        "Type" => "Filespec",
        "F" => text_string(record.name),
        "UF" => text_string(record.name),
        "Desc" => text_string(record.description),
        "AFRelationship" => "Source",
        "EF" => dictionary! { "F" => Object::Reference(file), "UF" => Object::Reference(file) },
    })
}

fn date(meta: &Meta) -> String {
    format!("D:{}000000Z", meta.date.format("%Y%m%d"))
}

fn info(meta: &Meta) -> Dictionary {
    dictionary! {
        "Title" => text_string(&meta.title),
        "Creator" => text_string(&meta.creator),
        "Producer" => text_string(PRODUCER),
        "CreationDate" => text_string(&date(meta)),
        "ModDate" => text_string(&date(meta)),
    }
}

fn xml(words: &str) -> String {
    words.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

/// The properties once more as XMP, with the claims of PDF/A-3a and PDF/UA-1; PDF/A wants the words of the second
/// claim described.
fn xmp(meta: &Meta) -> String {
    let date = meta.date.format("%Y-%m-%dT00:00:00Z");
    let (title, creator) = (xml(&meta.title), xml(&meta.creator));
    let lang = xml(if meta.lang.is_empty() { "en-GB" } else { &meta.lang });
    format!(
        r#"<?xpacket begin="{bom}" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/">
<rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfaid="http://www.aiim.org/pdfa/ns/id/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<dc:format>application/pdf</dc:format>
<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{title}</rdf:li></rdf:Alt></dc:title>
<dc:language><rdf:Bag><rdf:li>{lang}</rdf:li></rdf:Bag></dc:language>
<xmp:CreatorTool>{creator}</xmp:CreatorTool>
<xmp:CreateDate>{date}</xmp:CreateDate>
<xmp:ModifyDate>{date}</xmp:ModifyDate>
<xmp:MetadataDate>{date}</xmp:MetadataDate>
<pdf:Producer>{PRODUCER}</pdf:Producer>
<pdfaid:part>3</pdfaid:part>
<pdfaid:conformance>A</pdfaid:conformance>
<pdfuaid:part>1</pdfuaid:part>
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name>
<pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of PDF/UA to which the document conforms</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property>
</rdf:li></rdf:Bag></pdfaExtension:schemas>
</rdf:Description>
</rdf:RDF>
</x:xmpmeta>
<?xpacket end="w"?>
"#,
        bom = '\u{feff}'
    )
}
