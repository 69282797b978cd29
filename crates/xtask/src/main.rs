//! Every chore of the project, one command each.
//!
//! In: the words after `cargo xtask`. Out: what the chore makes (the page in `dist/`, a served
//! address, test counts) and what it says on the way; the exit code is 0 only if all went well.
//! What must hold: nothing is installed or built twice, and whatever could not be installed is
//! named with the command that would. It knows nothing of roofs and no other crate uses it.

// A command-line chore talks to a person at a terminal: printing is its output, not a leftover.
#![allow(clippy::print_stdout, clippy::print_stderr)]

mod bench;
mod check_web;
mod counts;
mod debian;
mod fingerprint;
mod instructions;
mod offline;
mod places;
mod python;
mod serve;
mod site;
mod size;
mod step;
mod target;
mod test;
mod tools;

use std::process::ExitCode;

use step::Outcome;

const HELP: &str = "\
cargo xtask serve [--port 8080]     install what is missing, build the page, serve it on 127.0.0.1
cargo xtask build                   the same up to dist/, without serving
cargo xtask check-web [--clippy]    type-check (or lint) only the page's crate for WebAssembly
cargo xtask test [--only PART]      every test; PART is rust, judges, browser or size
cargo xtask bench [--native]        time the engine beside GEOS; --native leaves the browser out
cargo xtask instructions [--update] instructions that laying the demo plans takes, against the record
cargo xtask schema                  write the published JSON Schemas anew from the types
cargo xtask size [--update]         the page's bytes against web/size-limits.txt
";

fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    match run(&words) {
        Ok(()) => ExitCode::SUCCESS,
        Err(message) => {
            eprintln!("\nxtask: {message}");
            ExitCode::FAILURE
        }
    }
}

fn run(words: &[String]) -> Outcome<()> {
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    match words.as_slice() {
        ["serve"] => serve::serve_page(8080),
        ["serve", "--port", port] => serve::serve_page(port_number(port)?),
        ["build"] => site::ensure_built().map(drop),
        ["check-web"] => check_web::check(),
        ["check-web", "--clippy"] => check_web::clippy(),
        ["test"] => test::run(&test::Part::ALL),
        ["test", "--only", part] => test::run(&[test::Part::named(part)?]),
        ["bench"] => bench::run(false),
        ["bench", "--native"] => bench::run(true),
        ["instructions"] => instructions::run(false),
        ["instructions", "--update"] => instructions::run(true),
        ["schema"] => test::write_schemas(),
        ["size"] => size::check(),
        ["size", "--update"] => size::update(),
        [] | ["help" | "--help" | "-h"] => {
            print!("{HELP}");
            Ok(())
        }
        other => Err(format!("`{}` is not a command\n\n{HELP}", other.join(" "))),
    }
}

fn port_number(text: &str) -> Outcome<u16> {
    text.parse().map_err(|_| format!("--port wants a number from 0 to 65535, not `{text}`"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_unknown_word_is_answered_with_the_help() {
        let answer = run(&["serv".to_owned()]);
        assert!(answer.is_err_and(|m| m.contains("cargo xtask serve")));
    }

    #[test]
    fn a_port_out_of_range_is_refused() {
        assert!(port_number("65536").is_err());
        assert_eq!(port_number("0"), Ok(0));
    }
}
