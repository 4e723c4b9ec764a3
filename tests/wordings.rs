//! temporary
#![cfg(not(target_arch = "wasm32"))]
#[test]
fn list() {
    for w in cellwright::sheet::sentences::sentences() {
        println!("{}|{}", w.code, w.words);
    }
}
