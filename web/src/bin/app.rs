//! The page: puts the shell up.

fn main() {
    baylap_web::run_app();
}
