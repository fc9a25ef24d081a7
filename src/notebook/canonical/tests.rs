use super::*;

fn scan(text: &str) -> Result<bool, Fault> {
    let mut scan = Scan::new(text);
    scan.space();
    scan.value(0)?;
    scan.end()?;
    Ok(scan.canonical)
}

/// The appendix of RFC 8785 (Rundgren, Jordan & Erdtman 2020), section 3.2.2 and 3.2.3: its sample input and output.
#[test]
fn sample_of_rfc_8785() {
    let input = r#"{
        "numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000F\u000aA'\u0042\u0022\u005c\\\"\/",
        "literals": [null, true, false]
    }"#;
    let output = "{\"literals\":[null,true,false],\"numbers\":[333333333.3333333,1e+30,4.5,0.002,1e-27],\"string\":\"€$\\u000f\\nA'B\\\"\\\\\\\\\\\"/\"}";
    assert_eq!(scan(input), Ok(false));
    assert_eq!(scan(output), Ok(true));
    let value: Value = serde_json::from_str(input).unwrap();
    assert_eq!(text_of(&value), output);
}

/// RFC 8785 section 3.2.3: keys sorted by UTF-16 units, so an emoji comes before U+FB33.
#[test]
fn keys_sort_by_utf16() {
    assert_eq!(
        scan("{\"\\r\":1,\"1\":2,\"\u{80}\":3,\"ö\":4,\"€\":5,\"😀\":6,\"\u{fb33}\":7}"),
        Ok(true)
    );
    assert_eq!(scan("{\"\u{fb33}\":7,\"😀\":6}"), Ok(false));
}

#[test]
fn faults_say_where_and_why() {
    let check = |text: &str, at: usize, why: &str| {
        let fault = scan(text).unwrap_err();
        assert_eq!(
            (fault.at, fault.why.to_string().as_str()),
            (at, why),
            "{text}"
        );
    };
    check("{\"a\":1,\"a\":2}", 7, "the key `a` is given twice");
    check("{\"b\":1,\"\\u0062\":2}", 7, "the key `b` is given twice");
    check("[1e999]", 1, "the number `1e999` is larger than any can be");
    check("[NaN]", 1, "`N` stands where a value belongs");
    check("[\"\\ud800\"]", 2, "half of a surrogate pair stands alone");
    check("[\"\\udc00x\"]", 2, "half of a surrogate pair stands alone");
    check("[\"a", 3, "the text stops in the middle");
    check("[01]", 2, "`1` stands where `,` or `]` belongs");
    check("[1,]", 3, "`]` stands where a value belongs");
    check(
        "[\"\t\"]",
        2,
        "`\\t` stands where an escape for a control character belongs",
    );
    check("[] x", 3, "`x` stands where the end belongs");
    let deep = "[".repeat(1_000_000);
    check(&deep, DEEPEST, "nested more than 64 deep");
}

#[test]
fn columns_count_characters() {
    assert_eq!(line_and_column("ab\nöx", 5), (2, 2));
    assert_eq!(line_and_column("", 9), (1, 1));
}

proptest::proptest! {
    #![proptest_config(proptest::test_runner::Config {
        cases: 2000,
        failure_persistence: None,
        ..Default::default()
    })]

    #[test]
    fn agrees_with_serde_json_on_what_is_json(text in "[\\[\\]{}\",:0-9eE.+\\-a\\\\u ]{0,24}") {
        let ours = scan(&text);
        let theirs = serde_json::from_str::<Value>(&text);
        // Ours is stricter: keys given twice are the one difference.
        match (&ours, &theirs) {
            (Err(fault), Ok(_)) => proptest::prop_assert!(matches!(fault.why, Why::Twice(_)), "{fault:?}"),
            (Ok(_), Err(error)) => proptest::prop_assert!(false, "{error} in {text}"),
            _ => {}
        }
    }

    #[test]
    fn plain_bytes_are_counted_as_one_by_one(bytes in proptest::collection::vec(
        proptest::prop_oneof![0x18..0x28_u8, 0x58..0x60_u8, proptest::num::u8::ANY], 0..40
    )) {
        let one_by_one = bytes.iter().take_while(|b| **b >= 0x20 && **b != b'"' && **b != b'\\');
        proptest::prop_assert_eq!(plain(&bytes), one_by_one.count());
    }

    #[test]
    fn keys_stand_in_the_order_of_their_utf16(
        a in "[aé\u{d7ff}\u{e000}\u{ffff}\u{10000}😀]{0,4}",
        b in "[aé\u{d7ff}\u{e000}\u{ffff}\u{10000}😀]{0,4}",
    ) {
        proptest::prop_assert_eq!(before_in_utf16(a.as_bytes(), b.as_bytes()), a.encode_utf16().lt(b.encode_utf16()));
    }

    #[test]
    fn the_quick_way_knows_what_the_strict_pass_finds_canonical(
        text in "[\\[\\]{}\",:0-2eé.+\\-a\\\\u ]{0,24}",
        behind in "[,}\\] 1.]{0,2}",
    ) {
        let both = text.clone() + &behind;
        let mut strict = Scan::new(&both);
        if let Some(end) = end_of_value(&both, 0) {
            proptest::prop_assert_eq!(strict.value(0).map(|value| value.end), Ok(end));
            proptest::prop_assert!(strict.canonical, "{}", both);
        }
    }

    #[test]
    fn what_the_crate_writes_is_canonical(number in proptest::num::f64::NORMAL, key in ".{0,6}", text in ".{0,12}") {
        let value = serde_json::json!({ key.as_str(): number, "text": text });
        let written = text_of(&value);
        proptest::prop_assert_eq!(scan(&written), Ok(true));
        // What stands for itself, or has a letter of its own behind its backslash, is known at once.
        if !written.contains("\\u") && !text_of(&key).contains('\\') {
            proptest::prop_assert_eq!(end_of_value(&written, 0), Some(written.len()));
        }
    }
}
