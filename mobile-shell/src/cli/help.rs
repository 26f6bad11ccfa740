//! Help: the command line's own description, in the language that is spoken; completions and
//! manual pages made from it.

use clap::{Arg, Command};
use clap_complete::Shell;
use tallywater_bindings::Fault;

use super::catalogue::{Language, t};
use super::out::Out;
use super::turn::Turn;

/// The frame of every help text, with its heads in the language that is spoken.
fn frame() -> String {
    format!(
        "{{before-help}}{{about-with-newline}}\n{}: {{usage}}\n\n{{all-args}}{{after-help}}",
        t("Usage")
    )
}

/// The command in the language that is spoken.
pub(super) fn spoken(command: Command) -> Command {
    match Language::spoken() {
        Language::En => command,
        Language::De => said(command),
    }
}

fn said(command: Command) -> Command {
    let about = command
        .get_about()
        .map(|text| t(&text.to_string()).to_owned());
    let long = command
        .get_long_about()
        .map(|text| t(&text.to_string()).to_owned());
    let mut command = command
        .help_template(frame())
        .subcommand_help_heading(t("Commands"))
        .subcommand_value_name(t("COMMAND"));
    if let Some(about) = about {
        command = command.about(about);
    }
    if let Some(long) = long {
        command = command.long_about(long);
    }
    command.mut_args(argument).mut_subcommands(said)
}

fn argument(arg: Arg) -> Arg {
    let help = arg.get_help().map(|text| t(&text.to_string()).to_owned());
    let long = arg
        .get_long_help()
        .map(|text| t(&text.to_string()).to_owned());
    let heading = if arg.is_positional() {
        t("Arguments")
    } else {
        t("Options")
    };
    let mut arg = arg.help_heading(heading);
    if let Some(help) = help {
        arg = arg.help(help);
    }
    if let Some(long) = long {
        arg = arg.long_help(long);
    }
    arg
}

/// Writes what a shell needs to complete this command line.
pub(super) fn completions(mut command: Command, shell: Shell, turn: &Turn) {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut command, "tallywater", &mut text);
    turn.put(&text);
}

/// Writes the manual: one page for the program and one for each of its commands.
pub(super) fn manual(command: &Command, out: &Out, turn: &Turn) -> Result<(), Fault> {
    let mut command = command.clone().disable_help_subcommand(true);
    command.build();
    pages(&command, "tallywater", out, turn)
}

fn pages(command: &Command, name: &str, out: &Out, turn: &Turn) -> Result<(), Fault> {
    let mut text = Vec::new();
    let page = clap_mangen::Man::new(command.clone().name(name.to_owned().leak() as &str));
    page.render(&mut text).map_err(|error| Fault::Internal {
        detail: format!("could not write a manual page: {}", error.kind()),
    })?;
    out.to_folder(turn, &format!("{name}.1"), text)?;
    for below in command.get_subcommands().filter(|it| !it.is_hide_set()) {
        pages(below, &format!("{name}-{}", below.get_name()), out, turn)?;
    }
    Ok(())
}

/// Every text of the description that a person reads.
#[cfg(test)]
pub(super) fn texts(command: &Command, into: &mut std::collections::BTreeSet<String>) {
    let mut add = |text: Option<&clap::builder::StyledStr>| {
        into.extend(text.map(ToString::to_string));
    };
    add(command.get_about());
    add(command.get_long_about());
    for arg in command.get_arguments() {
        add(arg.get_help());
        add(arg.get_long_help());
    }
    for below in command.get_subcommands() {
        texts(below, into);
    }
}
