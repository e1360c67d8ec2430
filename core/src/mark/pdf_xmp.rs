//! The document's account of itself as XMP (ISO 16684-1): the same as in its information dictionary, for
//! programs that read no other. printpdf writes a packet of its own only into PDF/X and PDF/A, with an
//! identifier by chance and without subject and author.

use super::pdf::About;

/// The packet.
pub(crate) fn packet(about: &About) -> String {
    let created = about.created;
    let date = format!(
        "{:04}-{:02}-{:02}T{:02}:{:02}:{:02}Z",
        created.year, created.month, created.day, created.hour, created.minute, created.second
    );
    let id: String = about.id.iter().map(|byte| format!("{byte:02x}")).collect();
    let mut properties = vec![
        "<dc:format>application/pdf</dc:format>".to_owned(),
        "<dc:language><rdf:Bag><rdf:li>en</rdf:li></rdf:Bag></dc:language>".to_owned(),
    ];
    let mut put = |name: &str, text: &str, (open, close): (&str, &str)| {
        if !text.is_empty() {
            properties.push(format!("<{name}>{open}{}{close}</{name}>", escaped(text)));
        }
    };
    const PLAIN: (&str, &str) = ("", "");
    const LANGUAGES: (&str, &str) =
        ("<rdf:Alt><rdf:li xml:lang=\"x-default\">", "</rdf:li></rdf:Alt>");
    const SEQUENCE: (&str, &str) = ("<rdf:Seq><rdf:li>", "</rdf:li></rdf:Seq>");
    put("dc:title", &about.title, LANGUAGES);
    put("dc:creator", &about.author, SEQUENCE);
    put("dc:description", &about.subject, LANGUAGES);
    put("pdf:Keywords", &about.keywords.join(", "), PLAIN);
    put("pdf:Producer", &about.creator, PLAIN);
    put("xmp:CreatorTool", &about.creator, PLAIN);
    for name in ["xmp:CreateDate", "xmp:ModifyDate", "xmp:MetadataDate"] {
        put(name, &date, PLAIN);
    }
    put("xmpMM:DocumentID", &format!("urn:quarterturn:{id}"), PLAIN);
    format!(
        "<?xpacket begin=\"\u{FEFF}\" id=\"W5M0MpCehiHzreSzNTczkc9d\"?>\n\
         <x:xmpmeta xmlns:x=\"adobe:ns:meta/\">\n\
         <rdf:RDF xmlns:rdf=\"http://www.w3.org/1999/02/22-rdf-syntax-ns#\">\n\
         <rdf:Description rdf:about=\"\" xmlns:dc=\"http://purl.org/dc/elements/1.1/\" \
         xmlns:pdf=\"http://ns.adobe.com/pdf/1.3/\" xmlns:xmp=\"http://ns.adobe.com/xap/1.0/\" \
         xmlns:xmpMM=\"http://ns.adobe.com/xap/1.0/mm/\">\n{}\n\
         </rdf:Description>\n</rdf:RDF>\n</x:xmpmeta>\n<?xpacket end=\"r\"?>",
        properties.join("\n")
    )
}

/// Text as it stands in XML 1.0, without the characters that cannot stand there.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for character in text.chars() {
        match character {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '\n' | '\r' | '\t' => out.push(' '),
            '\0'..='\u{1F}' | '\u{FFFE}' | '\u{FFFF}' => {}
            _ => out.push(character),
        }
    }
    out
}
