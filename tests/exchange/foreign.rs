//! Texts written by hand, by the specification's examples and rules (S-2014-006, v3.0): what they say is known without our writer.

use lookwright::formats::clf::{BitDepth, CdlStyle, ClfFile, Operation, parse};
use lookwright::lut::Interpolation;

/// Texts whose evaluation is checked from outside as well.
pub const TEXTS: [(&str, &str); 9] = [
    (
        "acescct",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="ACEScsc.ACES_to_ACEScct.a1.0.3" name="ACES2065-1 to ACEScct"
    compCLFversion="3.0">
    <Description>ACES2065-1 to ACEScct Log working space</Description>
    <InputDescriptor>Academy Color Encoding Specification (ACES2065-1)</InputDescriptor>
    <OutputDescriptor>ACEScct Log working space</OutputDescriptor>
    <Info>
        <ACEStransformID>ACEScsc.ACES_to_ACEScct.a1.0.3</ACEStransformID>
        <Anything><goes a="b"/></Anything>
    </Info>
    <Matrix inBitDepth="16f" outBitDepth="16f">
        <Array dim="3 3">
             1.451439316146 -0.236510746894 -0.214928569252
            -0.076553773396  1.176229699834 -0.099675926438
             0.008316148426 -0.006032449791  0.997716301365
        </Array>
    </Matrix>
    <Log inBitDepth="16f" outBitDepth="16f" style="cameraLinToLog">
        <LogParams base="2" logSideSlope="0.05707762557" logSideOffset="0.5547945205"
            linSideBreak="0.0078125" />
    </Log>
</ProcessList>
"#,
    ),
    (
        "lab",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="5ac02dc7-1e02-4f87-af46-fa5a83d5232d" compCLFversion="3.0">
    <Description>CIE-XYZ D65 to CIELAB L*, a*, b* (scaled by 1/100, neutrals at
        0.0 chroma)</Description>
    <Matrix inBitDepth="16f" outBitDepth="16f">
        <Array dim="3 3">
            1.052126639 0.000000000 0.000000000
            0.000000000 1.000000000 0.000000000
            0.000000000 0.000000000 0.918224951
        </Array>
    </Matrix>
    <Exponent inBitDepth="16f" outBitDepth="16f" style="monCurveRev">
        <ExponentParams exponent="3.0" offset="0.16" />
    </Exponent>
    <Matrix inBitDepth="16f" outBitDepth="16f">
        <Array dim="3 3">
            0.00000000  1.00000000  0.00000000
            4.31034483 -4.31034483  0.00000000
            0.00000000  1.72413793 -1.72413793
        </Array>
    </Matrix>
</ProcessList>
"#,
    ),
    (
        "integers",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList xmlns="urn:AMPAS:CLF:v3.0" id="integers" compCLFversion="3.0">
    <!-- Ten bits in, twelve out, sixteen out, floats out. -->
    <Matrix inBitDepth="10i" outBitDepth="12i">
        <Array dim="3 4">
            4.002932551319648 0 0 40.95
            0 4.002932551319648 0 0
            0 0.5 3.502932551319648 -409.5
        </Array>
    </Matrix>
    <LUT1D inBitDepth="12i" outBitDepth="16i" interpolation="linear">
        <Array dim="3 3">0 65535 100 32767.5 30000 200 65535 0 70000</Array>
    </LUT1D>
    <LUT3D inBitDepth="16i" outBitDepth="8i" interpolation="tetrahedral">
        <Array dim="2 2 2 3">
            0 0 0   0 0 255   0 255 0   0 255 255   255 0 0   200 0 255   255 255 0   255 255 255
        </Array>
    </LUT3D>
    <Range inBitDepth="8i" outBitDepth="32f">
        <minInValue>0</minInValue><maxInValue>255</maxInValue>
        <minOutValue>0.1</minOutValue><maxOutValue>0.9</maxOutValue>
    </Range>
</ProcessList>
"#,
    ),
    (
        "inverted-codes",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="lut-23" compCLFversion="3.0">
<LUT1D id="lut-23" name="4 Value Lut" inBitDepth="12i" outBitDepth="12i">
    <Description>1D LUT - Turn 4 grey levels into 4 inverted codes</Description>
    <Array dim="4 1">
        3
        2
        1
        0
    </Array>
</LUT1D>
</ProcessList>
"#,
    ),
    (
        "legal-range",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="legal" compCLFversion="3">
<Range inBitDepth="10i" outBitDepth="10i">
	<Description>10-bit full range to SMPTE range</Description>
	<minInValue>0</minInValue>
	<maxInValue>1023</maxInValue>
	<minOutValue>64</minOutValue>
	<maxOutValue>940</maxOutValue>
</Range>
<Range inBitDepth="10i" outBitDepth="12i" style="Clamp"><maxInValue>900</maxInValue><maxOutValue>3603</maxOutValue></Range>
<Range inBitDepth="12i" outBitDepth="8i"><minInValue>409.5</minInValue><minOutValue>25.5</minOutValue></Range>
</ProcessList>
"#,
    ),
    (
        "scene-1",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="cc" compCLFversion="3.0">
<ASC_CDL id="cc01234" inBitDepth="16f" outBitDepth="12i">
    <Description>scene 1 exterior look</Description>
    <SOPNode>
        <Slope>1.000000 1.000000 0.900000</Slope>
        <Offset>-0.030000 -0.020000 0.000000</Offset>
        <Power>1.2500000 1.000000 1.000000</Power>
    </SOPNode>
    <SatNode>
        <Saturation>1.700000</Saturation>
    </SatNode>
</ASC_CDL>
<Exponent inBitDepth="12i" outBitDepth="10i" style="basicFwd"><ExponentParams exponent="2.2"/></Exponent>
<ASC_CDL inBitDepth="10i" outBitDepth="10i" style="FwdNoClamp"/>
</ProcessList>
"#,
    ),
    (
        "d-log",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="d-log" compCLFversion="3.0">
<Log inBitDepth="32f" outBitDepth="32f" style="cameraLinToLog">
    <Description>Linear to DJI D-Log</Description>
    <LogParams base="10" logSideSlope="0.256663" logSideOffset="0.584555"
        linSideSlope="0.9892" linSideOffset="0.0108" linSideBreak="0.0078"
        linearSlope="6.025"/>
</Log>
</ProcessList>
"#,
    ),
    (
        "default-interpolation",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="green look" compCLFversion="3.0">
<LUT3D id="lut-24" name="green look" interpolation="trilinear" inBitDepth="12i" outBitDepth="16f">
    <Description>3D LUT</Description>
    <Array dim="2 2 2 3">
        0.0 0.0 0.0
        0.0 0.0 1.0
        0.0 1.0 0.0
        0.0 1.0 1.0
        1.0 0.0 0.0
        1.0 0.0 1.0
        1.0 1.0 0.0
        1.0 0.5 1.0
    </Array>
</LUT3D>
</ProcessList>
"#,
    ),
    (
        "exponents-in-numbers",
        r#"<?xml version="1.0" encoding="UTF-8"?>
<ProcessList id="forms" compCLFversion="3.0">
<Matrix inBitDepth="32f" outBitDepth="32f"><Array dim="3 4">1e0 -2.5E-1 .5 +1 0 1. 0 0 0 0 1 -0</Array></Matrix>
</ProcessList>
"#,
    ),
];

fn file(name: &str) -> ClfFile {
    let text = TEXTS.iter().find(|(known, _)| *known == name).expect("a text of that name").1;
    parse(name, text.as_bytes()).unwrap_or_else(|faults| panic!("{name}: {faults:#?}"))
}

fn assert_near(found: [f64; 3], expected: [f64; 3], tolerance: f64, what: &str) {
    for (found, expected) in found.into_iter().zip(expected) {
        assert!((found - expected).abs() <= tolerance, "{what}: {found} instead of {expected}");
    }
}

/// Rounding of a few operations in 64 bits.
const EXACT: f64 = 1e-12;

#[test]
fn texts_of_the_specification_are_read_without_complaint() {
    for (name, _) in TEXTS {
        assert_eq!(file(name).warnings, [], "{name}");
    }
}

/// Worked by hand: codes over full code in and out.
#[test]
fn integer_depths_are_taken_out_of_the_numbers() {
    let list = file("integers").list;
    let depths: Vec<_> = list.nodes.iter().map(|node| (node.in_depth, node.out_depth)).collect();
    use BitDepth::{Float32, Int8, Int10, Int12, Int16};
    assert_eq!(depths, [(Int10, Int12), (Int12, Int16), (Int16, Int8), (Int8, Float32)]);
    // 4095/1023 from ten to twelve bits is 1 on the scale of floats; 40.95 is a hundredth.
    assert_near(list.nodes[0].operation.apply([0.5, 0.5, 0.5]), [0.51, 0.5, 0.4], EXACT, "matrix");
    assert_near(
        list.nodes[1].operation.apply([0.5, 0.5, 0.5]),
        [0.5, 30000.0 / 65535.0, 200.0 / 65535.0],
        EXACT,
        "table",
    );
    assert_near(list.nodes[1].operation.apply([0.25, 1.0, 2.0]), [0.25, 0.0, 70000.0 / 65535.0], EXACT, "table");
    // Red and blue full, green nothing: the sixth row, for blue changes fastest.
    assert_near(list.nodes[2].operation.apply([1.0, 0.0, 1.0]), [200.0 / 255.0, 0.0, 1.0], EXACT, "cube");
    assert_near(list.nodes[3].operation.apply([0.0, 0.5, 1.0]), [0.1, 0.5, 0.9], EXACT, "range");
}

/// The example's own words: four grey levels into four inverted codes of twelve bits.
#[test]
fn a_one_column_table_serves_all_channels() {
    let list = file("inverted-codes").list;
    let full = 4095.0;
    assert_near(list.apply([0.0, 1.0 / 3.0, 1.0]), [3.0 / full, 2.0 / full, 0.0], EXACT, "rows");
    assert_eq!((list.nodes[0].id.as_str(), list.nodes[0].name.as_str()), ("lut-23", "4 Value Lut"));
    assert_eq!(list.nodes[0].descriptions, ["1D LUT - Turn 4 grey levels into 4 inverted codes"]);
}

#[test]
fn ranges_scale_and_clamp() {
    let list = file("legal-range").list;
    let black = list.nodes[0].operation.apply([0.0, 1.0, 1.5]);
    assert_near(black, [64.0 / 1023.0, 940.0 / 1023.0, 940.0 / 1023.0], EXACT, "full to legal");
    // 900 of ten bits is 3602.64 of twelve, written 3603: the formula has the value out.
    assert_near(list.nodes[1].operation.apply([0.1, 0.9, -1.0]), [0.1, 3603.0 / 4095.0, -1.0], EXACT, "above");
    assert_near(list.nodes[2].operation.apply([0.05, 0.5, 2.0]), [0.1, 0.5, 2.0], EXACT, "below");
}

/// ACES S-2016-001 defines `ACEScct` with a break at 0.0078125, code 0.155251141552511; the example's matrix is that from AP0 to AP1.
#[test]
fn the_acescct_example_is_acescct() {
    let list = file("acescct").list;
    assert_eq!(list.output, "ACEScct Log working space");
    let Operation::Log(log) = &list.nodes[1].operation else { panic!("a logarithm") };
    assert!(log.params.iter().all(|params| params.linear_slope.is_none() && params.lin_side_slope == 1.0));
    // The rows of the matrix sum to 1, and the parameters are printed with ten digits.
    let grey = |linear| list.nodes[1].operation.apply([linear; 3]);
    assert_near(grey(0.0078125), [0.155251141552511; 3], 1e-9, "the break");
    // 0.0729055341958355 is ACEScct of 0; 0.413588402492442 of 18 % grey.
    assert_near(grey(0.0), [0.0729055341958355; 3], 1e-8, "black");
    assert_near(grey(0.18), [0.413588402492442; 3], 1e-9, "grey");
}

/// CIELAB of a grey of Y = 0.184186518512444 has L* 50; of white 100 (CIE 015). The example is scaled by 1/100.
#[test]
fn the_lab_example_is_lab() {
    let list = file("lab").list;
    let white = [1.0 / 1.052126639, 1.0, 1.0 / 0.918224951];
    assert_near(list.apply(white), [1.0, 0.0, 0.0], 1e-9, "white");
    assert_near(list.apply(white.map(|value| value * 0.184_186_518_512_444)), [0.5, 0.0, 0.0], 1e-9, "grey");
}

#[test]
fn omitted_styles_are_the_defaults() {
    let list = file("scene-1").list;
    assert!(matches!(list.nodes[0].operation, Operation::Cdl(CdlStyle::Fwd, _)));
    // Without SOP and saturation, and without clamp, nothing is done.
    assert_near(list.nodes[2].operation.apply([-1.0, 0.5, 3.0]), [-1.0, 0.5, 3.0], EXACT, "nothing");
    let text = TEXTS[7].1.replace("interpolation=\"trilinear\" ", "");
    let list = parse("default", text.as_bytes()).expect("read").list;
    let Operation::Lut3(table) = &list.nodes[0].operation else { panic!("a cube") };
    assert_eq!(table.interpolation, Interpolation::Trilinear);
    assert_eq!(list, file("default-interpolation").list);
}

#[test]
fn line_ends_comments_and_spacing_change_nothing() {
    for (name, text) in TEXTS {
        let expected = file(name).list;
        for changed in [
            text.replace('\n', "\r\n"),
            text.replace("    ", "\t"),
            text.replace("</Array>", "<!-- done --></Array>").replace("<Array", "<!-- 1 2 3 --><Array"),
            format!("\u{FEFF}{text}"),
        ] {
            let mut list = parse(name, changed.as_bytes()).unwrap_or_else(|faults| panic!("{name}: {faults:#?}")).list;
            // White space inside a paragraph is kept.
            list.descriptions = expected.descriptions.clone();
            assert_eq!(list, expected, "{name}");
        }
    }
}

/// The sample of the public committee draft of ST 2136-1: its namespace, and an `Id` instead of the attributes.
#[test]
fn the_smpte_form_is_read() {
    let text = TEXTS[0].1.replace(
        "<ProcessList id=\"ACEScsc.ACES_to_ACEScct.a1.0.3\" name=\"ACES2065-1 to ACEScct\"\n    compCLFversion=\"3.0\">",
        "<ProcessList xmlns=\"http://www.smpte-ra.org/ns/2136-1/2024\">\n<Id>urn:uuid:48fc6408-6482-4f49-8c6c-6cd8e642c0cb</Id>",
    );
    let smpte = parse("smpte", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert_eq!(smpte.warnings, []);
    assert_eq!(smpte.list.id, "urn:uuid:48fc6408-6482-4f49-8c6c-6cd8e642c0cb");
    assert_eq!(smpte.list.nodes, file("acescct").list.nodes);
}

/// An identity over all half floats, as bits: what comes out of each half float is itself, and half way between two the middle.
#[test]
fn raw_halfs_over_the_half_domain() {
    let rows: Vec<String> = (0..=u16::MAX).map(|bits| bits.to_string()).collect();
    let text = format!(
        "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ProcessList id=\"h\" compCLFversion=\"3.0\">\
         <LUT1D inBitDepth=\"16f\" outBitDepth=\"16f\" halfDomain=\"true\" rawHalfs=\"true\"><Array dim=\"65536 1\">\n{}\n</Array></LUT1D>\
         </ProcessList>",
        rows.join("\n")
    );
    let file = parse("h", text.as_bytes()).unwrap_or_else(|faults| panic!("{faults:#?}"));
    assert_eq!(file.warnings, []);
    let Operation::Lut1(table) = &file.list.nodes[0].operation else { panic!("a table") };
    // The specification's own: row 15360 is 1.0.
    assert_eq!(table.rows[15360], [1.0; 3]);
    for value in [0.0, 1.0, -1.0, 0.1, 6e-8, 3e-8, -3e-8, 65504.0, 6.1e-5, 1.0 + 1.0 / 2048.0, -1234.567, f64::INFINITY]
    {
        assert_eq!(file.list.apply([value; 3]), [value; 3], "{value}");
    }
    assert_eq!(file.list.apply([70000.0, -1e9, f64::NEG_INFINITY]), [65504.0, -65504.0, f64::NEG_INFINITY]);
    assert!(file.list.apply([f64::NAN; 3]).iter().all(|value| value.is_nan()));
}
