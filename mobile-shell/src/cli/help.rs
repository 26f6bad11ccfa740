//! Help: the command line's own description, in the language that is spoken; completions and
//! manual pages made from it.

use clap::builder::{PossibleValue, StyledStr};
use clap::{Arg, ArgAction, Command};
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
    // Of clap's own flag the words are English: this is the same one with ours.
    let flag = Arg::new("help")
        .short('h')
        .long("help")
        .action(ArgAction::Help)
        .help("Print help");
    let mut command = command
        .help_template(frame())
        .disable_help_flag(true)
        .arg(flag)
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
    let words = |text: Option<&StyledStr>| text.map(|text| t(&text.to_string()).to_owned());
    let (mut help, mut long) = (words(arg.get_help()), words(arg.get_long_help()));
    let heading = if arg.is_positional() {
        t("Arguments")
    } else {
        t("Options")
    };
    let all = arg.get_possible_values();
    let shown: Vec<&PossibleValue> = all.iter().filter(|one| !one.is_hide_set()).collect();
    let mut arg = arg.help_heading(heading);
    // A flag has the values of a boolean, and nobody writes them.
    if arg.get_action().takes_values() && !shown.is_empty() {
        arg = arg.hide_possible_values(true);
        (help, long) = with_choices(help.unwrap_or_default(), long, &shown);
    }
    if let Some(help) = help {
        arg = arg.help(help);
    }
    if let Some(long) = long {
        arg = arg.long_help(long);
    }
    arg
}

/// Help, short and long, with what may be written there and what each of it means.
fn with_choices(
    help: String,
    long: Option<String>,
    shown: &[&PossibleValue],
) -> (Option<String>, Option<String>) {
    let head = t("Choices");
    let names: Vec<&str> = shown.iter().map(|one| one.get_name()).collect();
    let names = names.join(", ");
    let meant = shown.iter().filter_map(|one| {
        let means = one.get_help()?.to_string();
        Some(format!("\n- {}: {}", one.get_name(), t(&means)))
    });
    let mut meant: String = meant.collect();
    if meant.is_empty() {
        meant = format!(" {names}");
    }
    let long = long.unwrap_or_else(|| help.clone());
    (
        Some(format!("{help} [{head}: {names}]")),
        Some(format!("{long}\n\n{head}:{meant}")),
    )
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
    out.to_folder(turn, "man", &format!("{name}.1"), text)?;
    for below in command.get_subcommands().filter(|it| !it.is_hide_set()) {
        pages(below, &format!("{name}-{}", below.get_name()), out, turn)?;
    }
    Ok(())
}

/// Every text of the description that a person reads.
#[cfg(test)]
pub(super) fn texts(command: &Command, into: &mut std::collections::BTreeSet<String>) {
    let mut add = |text: Option<&StyledStr>| {
        into.extend(text.map(ToString::to_string));
    };
    add(command.get_about());
    add(command.get_long_about());
    for arg in command.get_arguments() {
        add(arg.get_help());
        add(arg.get_long_help());
        for choice in arg.get_possible_values() {
            add(choice.get_help());
        }
    }
    for below in command.get_subcommands() {
        texts(below, into);
    }
}
