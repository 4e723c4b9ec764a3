//! Builds what is handed on: the npm folder and the C library.

use crate::command::{Outcome, cargo, program, root, run};
use crate::page;
use std::fs;

const VERSION: &str = env!("CARGO_PKG_VERSION");

/// Everything that is handed on, into `dist`.
pub fn build() -> Outcome {
    page::build()?.print();
    npm()?;
    c_library()
}

/// An npm folder: the Wasm with its JavaScript side and types.
fn npm() -> Outcome {
    let out = root().join("dist/npm");
    fs::create_dir_all(&out)?;
    for name in ["cellwright.js", "cellwright.d.ts", "cellwright_bg.wasm", "cellwright_bg.wasm.d.ts"] {
        fs::copy(root().join("dist/wasm").join(name), out.join(name))?;
    }
    for name in ["LICENSE-MIT", "LICENSE-APACHE", "README.md"] {
        fs::copy(root().join(name), out.join(name))?;
    }
    let manifest = format!(
        "{{\n  \"name\": \"cellwright\",\n  \"version\": \"{VERSION}\",\n  \"type\": \"module\",\n  \"license\": \"(MIT OR Apache-2.0)\",\n  \
         \"engines\": {{ \"node\": \">=20\" }},\n  \"sideEffects\": false,\n  \"exports\": {{\n    \".\": {{ \"types\": \
         \"./cellwright.d.ts\", \"default\": \"./cellwright.js\" }},\n    \"./package.json\": \"./package.json\"\n  }}\n}}\n"
    );
    fs::write(out.join("package.json"), manifest)?;
    println!("{}", out.display());
    Ok(())
}

/// The C library, shared and static, with header and `.pc` file.
pub fn c_library() -> Outcome {
    let out = root().join("dist/c");
    fs::create_dir_all(&out)?;
    for kind in ["cdylib", "staticlib"] {
        let mut command =
            cargo(&format!("rustc --locked -p cellwright --lib --crate-type {kind} --profile capi --features capi"));
        if kind == "cdylib" {
            command.args(["--", "-C", "link-arg=-Wl,-soname,libcellwright.so.0"]);
        }
        run(&mut command)?;
    }
    let built = root().join("target/capi");
    fs::copy(built.join("libcellwright.so"), out.join("libcellwright.so.0"))?;
    fs::copy(built.join("libcellwright.so"), out.join("libcellwright.so"))?;
    fs::copy(built.join("libcellwright.a"), out.join("libcellwright.a"))?;
    fs::copy(root().join("pkg-config/cellwright.h"), out.join("cellwright.h"))?;
    let pc = fs::read_to_string(root().join("pkg-config/cellwright.pc.in"))?;
    fs::write(out.join("cellwright.pc"), pc.replace("@VERSION@", VERSION))?;
    println!("{}", out.display());
    Ok(())
}

/// Compiles and runs the C test program against the shared library.
pub fn c_program() -> Outcome {
    let out = root().join("dist/c");
    let folder = out.display();
    let mut compile = program("cc");
    compile.args(["-std=c99", "-Wall", "-Wextra", "-Werror", "tests/capi/ask.c", "-lcellwright"]);
    compile.args([format!("-I{folder}"), format!("-L{folder}"), format!("-o{folder}/ask")]);
    run(&mut compile)?;
    run(program(out.join("ask")).env("LD_LIBRARY_PATH", &out))
}
