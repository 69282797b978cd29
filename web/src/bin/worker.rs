//! The worker: serves the engine and the files.

fn main() {
    baylap_web::bridge::serve::serve();
}
