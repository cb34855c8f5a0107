//! The ACES Metadata File: which transform comes where, and that none is applied yet.
//!
//! Source: AMPAS S-2019-001, ACES Metadata File, schema `urn:ampas:aces:amf:v1.0` (bibliography: amf).

use crate::diagnostics::{Diagnostic, codes};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesText, Event};
use sha2::{Digest, Sha256};
use std::io;

/// Namespace of the schema.
const NAMESPACE: &str = "urn:ampas:aces:amf:v1.0";

/// Algorithm of the hashes, as XML Encryption names it.
const SHA256: &str = "http://www.w3.org/2001/04/xmlenc#sha256";

/// The system that has the gamut compression: ACES 1.3.
const SYSTEM: [&str; 3] = ["1", "3", "0"];

/// A transform that the file names.
#[derive(Clone, Debug)]
pub(super) struct Transform {
    /// What it does, in words.
    pub description: String,
    /// Its file, relative to the metadata file.
    pub file: String,
    /// SHA-256 of the file.
    pub sha256: [u8; 32],
}

/// What a metadata file says.
#[derive(Clone, Debug)]
pub(super) struct Metadata {
    /// What it is about.
    pub description: String,
    /// Date and time, as XML Schema writes it.
    pub date: String,
    /// From the camera's signal to ACES2065-1.
    pub input: Transform,
    /// From ACES2065-1 to ACES2065-1.
    pub look: Option<Transform>,
    /// From ACES2065-1 to the display's signal.
    pub output: Transform,
}

/// The file's bytes, the same for the same metadata.
///
/// # Errors
/// None that could happen: writing to memory does not fail.
pub(super) fn amf(metadata: &Metadata) -> Result<Vec<u8>, Vec<Diagnostic>> {
    written(metadata).map_err(|error| vec![Diagnostic::error(&codes::FILE_UNWRITABLE, error.to_string())])
}

type Xml = Writer<Vec<u8>>;

fn written(metadata: &Metadata) -> io::Result<Vec<u8>> {
    let mut xml = Writer::new_with_indent(Vec::new(), b' ', 2);
    xml.write_event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)))?;
    let root = xml.create_element("aces:acesMetadataFile");
    let root = root.with_attributes([("version", "1.0"), ("xmlns:aces", NAMESPACE)]);
    root.write_inner_content(|xml| {
        info(xml, "aces:amfInfo", metadata, "file", |_| Ok(()))?;
        xml.create_element("aces:pipeline").write_inner_content(|xml| {
            info(xml, "aces:pipelineInfo", metadata, "pipeline", |xml| {
                xml.create_element("aces:systemVersion").write_inner_content(|xml| {
                    for (name, value) in ["majorVersion", "minorVersion", "patchVersion"].iter().zip(SYSTEM) {
                        text(xml, &format!("aces:{name}"), value)?;
                    }
                    Ok(())
                })?;
                Ok(())
            })?;
            transform(xml, "aces:inputTransform", &metadata.input)?;
            if let Some(look) = &metadata.look {
                transform(xml, "aces:lookTransform", look)?;
            }
            transform(xml, "aces:outputTransform", &metadata.output)
        })?;
        Ok(())
    })?;
    let mut bytes = xml.into_inner();
    bytes.push(b'\n');
    Ok(bytes)
}

fn info(
    xml: &mut Xml,
    name: &str,
    metadata: &Metadata,
    what: &str,
    rest: impl FnOnce(&mut Xml) -> io::Result<()>,
) -> io::Result<()> {
    xml.create_element(name).write_inner_content(|xml| {
        text(xml, "aces:description", &metadata.description)?;
        xml.create_element("aces:dateTime").write_inner_content(|xml| {
            text(xml, "aces:creationDateTime", &metadata.date)?;
            text(xml, "aces:modificationDateTime", &metadata.date)
        })?;
        text(xml, "aces:uuid", &uuid(metadata, what))?;
        rest(xml)
    })?;
    Ok(())
}

/// A transform by its file; not applied, for the recordings are the camera's own signal.
fn transform(xml: &mut Xml, name: &str, transform: &Transform) -> io::Result<()> {
    xml.create_element(name).with_attribute(("applied", "false")).write_inner_content(|xml| {
        text(xml, "aces:description", &transform.description)?;
        xml.create_element("aces:hash")
            .with_attribute(("algorithm", SHA256))
            .write_text_content(BytesText::new(&STANDARD.encode(transform.sha256)))?;
        text(xml, "aces:file", &transform.file)
    })?;
    Ok(())
}

fn text(xml: &mut Xml, name: &str, content: &str) -> io::Result<()> {
    // XML has no place for other control characters.
    let content: String = content.chars().map(|one| if one.is_control() { ' ' } else { one }).collect();
    xml.create_element(name).write_text_content(BytesText::new(&content))?;
    Ok(())
}

/// A name-based identifier: the same for the same content, in the form of RFC 9562, version 8.
fn uuid(metadata: &Metadata, what: &str) -> String {
    let transforms = [Some(&metadata.input), metadata.look.as_ref(), Some(&metadata.output)];
    let transforms: Vec<String> = transforms
        .into_iter()
        .flatten()
        .map(|one| format!("{}\n{}\n{}", one.description, one.file, crate::plan::hex(&one.sha256)))
        .collect();
    let text = format!("{what}\n{}\n{}\n{}", metadata.description, metadata.date, transforms.join("\n"));
    let digest = Sha256::digest(text.as_bytes());
    let mut bytes = [0; 16];
    bytes.copy_from_slice(&digest[..16]);
    bytes[6] = (bytes[6] & 0x0f) | 0x80;
    bytes[8] = (bytes[8] & 0x3f) | 0x80;
    let hex = crate::plan::hex(&bytes);
    format!("urn:uuid:{}-{}-{}-{}-{}", &hex[..8], &hex[8..12], &hex[12..16], &hex[16..20], &hex[20..])
}
