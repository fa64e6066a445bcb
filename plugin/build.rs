//! Links the plug-ins' library.

fn main() {
    println!("cargo::rerun-if-changed=build.rs");
    // The framework's background thread may outlive the last insert by a moment; a host that unloads the library then
    // would pull the code away under it. On Linux the library stays where it is.
    if std::env::var("CARGO_CFG_TARGET_OS").as_deref() == Ok("linux") {
        println!("cargo::rustc-cdylib-link-arg=-Wl,-z,nodelete");
    }
}
