//! What the program prints: results on stdout, diagnostics and progress on stderr, or one JSON document.

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Level, Renderer, Snippet};
use clap::ValueEnum;
use lookwright::diagnostics::{Diagnostic, Severity};
use serde_json::{Value, json};
use std::cell::Cell;
use std::io::{IsTerminal, Write};

/// When to colour the output.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum When {
    /// On a terminal, unless NO_COLOR is set
    Auto,
    /// Always
    Always,
    /// Never
    Never,
}

/// Where and how the program prints.
pub struct Console {
    json: bool,
    colour_out: bool,
    colour_err: bool,
    lost: Cell<bool>,
}

/// A word of a result that is set off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Emphasis {
    /// A name or heading.
    Strong,
    /// Something passed.
    Good,
    /// Something failed.
    Bad,
}

impl Console {
    /// A console for the given arguments and the terminal at hand.
    pub fn new(json: bool, when: When) -> Self {
        let wanted = |terminal: bool| match when {
            When::Always => true,
            When::Never => false,
            When::Auto => terminal && std::env::var_os("NO_COLOR").is_none_or(|value| value.is_empty()),
        };
        Self {
            json,
            colour_out: wanted(std::io::stdout().is_terminal()),
            colour_err: wanted(std::io::stderr().is_terminal()),
            lost: Cell::new(false),
        }
    }

    /// Whether the caller asked for JSON.
    pub fn is_json(&self) -> bool {
        self.json
    }

    /// Prints text on stdout. A reader that has gone (`| head`) is no error; a full disk is, see [`Self::lost`].
    pub fn text(&self, text: &str) {
        let mut stdout = std::io::stdout().lock();
        match stdout.write_all(text.as_bytes()).and_then(|()| stdout.flush()) {
            Err(error) if error.kind() != std::io::ErrorKind::BrokenPipe => self.lost.set(true),
            _ => {}
        }
    }

    /// Whether something that was printed did not reach stdout.
    pub fn lost(&self) -> bool {
        self.lost.get()
    }

    /// Prints the one JSON document on stdout.
    pub fn document(&self, document: &Value) {
        self.text(&format!("{document:#}\n"));
    }

    /// A word set off, where stdout takes colour.
    pub fn emphasise(&self, emphasis: Emphasis, word: &str) -> String {
        if !self.colour_out {
            return word.to_owned();
        }
        let code = match emphasis {
            Emphasis::Strong => "1",
            Emphasis::Good => "32",
            Emphasis::Bad => "1;31",
        };
        format!("\u{1b}[{code}m{word}\u{1b}[0m")
    }

    /// Whether stdout takes colour.
    pub fn takes_colour(&self) -> bool {
        self.colour_out
    }

    /// A patch of a colour (sRGB, 0..1) six columns wide and a space, where stdout takes colour; nothing elsewhere.
    pub fn swatch(&self, srgb: [f64; 3]) -> String {
        if !self.colour_out {
            return String::new();
        }
        let [r, g, b] = srgb.map(|value| (value.clamp(0.0, 1.0) * 255.0).round() as u8);
        format!("\u{1b}[48;2;{r};{g};{b}m      \u{1b}[0m ")
    }

    /// Prints a line of progress or a note on stderr.
    pub fn note(&self, text: &str) {
        let _ = writeln!(std::io::stderr().lock(), "{text}");
    }

    /// Renders warnings on stderr; with JSON they belong into the document instead, see [`as_json`].
    pub fn warnings(&self, warnings: &[Diagnostic]) {
        if !self.json {
            self.render(warnings);
        }
    }

    /// Renders everything that stopped a command.
    pub fn failure(&self, diagnostics: &[Diagnostic]) {
        if self.json {
            self.document(&json!({ "diagnostics": as_json(diagnostics) }));
        } else {
            self.render(diagnostics);
            let errors = diagnostics.iter().filter(|diagnostic| diagnostic.is_error()).count();
            if errors > 1 {
                self.note(&format!("{errors} errors"));
            }
        }
    }

    fn render(&self, diagnostics: &[Diagnostic]) {
        let renderer = if self.colour_err { Renderer::styled() } else { Renderer::plain() };
        let renderer = renderer.decor_style(DecorStyle::Ascii);
        let mut stderr = std::io::stderr().lock();
        for diagnostic in diagnostics {
            let _ = writeln!(stderr, "{}\n", render(&renderer, diagnostic));
        }
    }
}

fn render(renderer: &Renderer, diagnostic: &Diagnostic) -> String {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
    };
    let title = level.primary_title(diagnostic.message.as_str()).id(diagnostic.code.id);
    let mut group = annotate_snippets::Group::with_title(title);
    if let Some(span) = &diagnostic.span {
        let text = &span.source.text;
        let end = span.range.end.min(text.len());
        let start = span.range.start.min(end);
        let annotation = AnnotationKind::Primary.span(start..end).label(diagnostic.label.as_str());
        group = group.element(
            Snippet::source(text.as_str())
                .line_start(span.source.first_line)
                .path(span.source.name.as_str())
                .annotation(annotation),
        );
    }
    for help in &diagnostic.help {
        group = group.element(Level::HELP.message(help.as_str()));
    }
    renderer.render(&[group])
}

/// Diagnostics for a JSON document.
pub fn as_json(diagnostics: &[Diagnostic]) -> Value {
    diagnostics
        .iter()
        .map(|diagnostic| {
            let severity = if diagnostic.is_error() { "error" } else { "warning" };
            let mut value = json!({
                "code": diagnostic.code.id,
                "severity": severity,
                "message": diagnostic.message,
                "label": diagnostic.label,
                "help": diagnostic.help,
            });
            if let (Some(span), Value::Object(fields)) = (&diagnostic.span, &mut value) {
                let (line, column) = span.source.line_column(span.range.start);
                fields.insert("file".into(), json!(span.source.name));
                fields.insert("line".into(), json!(line));
                fields.insert("column".into(), json!(column));
            }
            value
        })
        .collect()
}
