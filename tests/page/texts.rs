//! What input files hold is shown as text.

use super::{Shown, read, run};
use scraper::{Html, Selector};

/// Markup, an entity and a script, as a mean parcel id.
const MEAN: &str = "<script>alert('1')</script> & <b>\"2\"</b> ]]> --> é";

/// The demo's parcels with the subject and a contributor renamed.
fn with_mean_ids(shown: &Shown) -> String {
    let path = shown.out.join("parcels.geojson");
    let mut parcels: serde_json::Value = serde_json::from_str(&read(&path)).expect("JSON");
    let features = parcels["features"].as_array_mut().expect("features");
    let mut renamed = 0;
    for feature in features {
        let properties = feature["properties"].as_object_mut().expect("properties");
        for value in properties.values_mut() {
            if let Some(old) = value.as_str().map(str::to_owned)
                && ["Alder 4", "Linden 3"].contains(&old.as_str())
            {
                *value = format!("{old} {MEAN}").into();
                renamed += 1;
            }
        }
    }
    assert_eq!(renamed, 2);
    let mean = shown.out.join("mean.geojson");
    std::fs::write(&mean, parcels.to_string()).expect("the file can be written");
    mean.to_str().expect("a plain name").to_owned()
}

#[test]
fn ids_with_markup_are_shown_as_text_and_run_nothing() {
    let shown = Shown::demo("si");
    let parcels = with_mean_ids(&shown);
    let out = shown.out.join("mean");
    let elevation = shown.out.join("elevation.tif");
    run(&[
        "assess",
        "--elevation",
        elevation.to_str().expect("a plain name"),
        "--parcels",
        &parcels,
        "--lot",
        &format!("Alder 4 {MEAN}"),
        "--out",
        out.to_str().expect("a plain name"),
    ]);
    let text = read(&out.join("report.html"));
    assert!(!text.contains("<script>alert"), "a script of the input stands in the page");
    let page = Html::parse_document(&text);
    let said: String = page.root_element().text().collect();
    assert!(said.contains(&format!("Run-on of lot Alder 4 {MEAN}")));
    assert!(said.contains(&format!("Linden 3 {MEAN}")));
    let scripts = Selector::parse("script").expect("a selector");
    assert_eq!(page.select(&scripts).count(), 1, "the page's own");
    let bold = Selector::parse("b").expect("a selector");
    assert_eq!(page.select(&bold).count(), 0);
}

#[test]
fn nothing_is_fetched() {
    let page = Html::parse_document(&Shown::demo("si").page());
    for (selector, attribute) in
        [("[src]", "src"), ("[href]", "href"), ("[data]", "data"), ("[action]", "action")]
    {
        let selector = Selector::parse(selector).expect("a selector");
        for element in page.select(&selector) {
            let address = element.attr(attribute).expect("it was selected by it");
            assert!(address.starts_with("data:image/png;base64,"), "{attribute}: {address:.80}");
        }
    }
    let policy = Selector::parse("meta[http-equiv=Content-Security-Policy]").expect("a selector");
    let found = page
        .select(&policy)
        .next()
        .expect("the page has a policy")
        .attr("content")
        .expect("it says something");
    assert!(found.starts_with("default-src 'none'"), "{found}");
}
