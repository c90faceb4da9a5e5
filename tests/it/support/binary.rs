//! The real program as a process: one command to its end, or a server to be killed.

use std::{
    io::{BufRead, BufReader, Read, Write},
    path::Path,
    process::{Child, ChildStdout, Command, Stdio},
};

use super::SECRET;

/// What a command came to.
#[derive(Debug)]
pub(crate) struct Output {
    pub(crate) code: Option<i32>,
    pub(crate) stdout: String,
    pub(crate) stderr: String,
}

/// The program with none of the caller's own settings.
fn command(home: &Path) -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_tallyhand"));
    for (name, _) in std::env::vars_os() {
        if name.to_string_lossy().starts_with("TALLYHAND_") {
            command.env_remove(name);
        }
    }
    command
        .env("HOME", home)
        .env("XDG_DATA_HOME", home.join("data"))
        .env("XDG_CONFIG_HOME", home.join("config"));
    command
}

/// Runs the program to its end with some input; `home` stands for the user's own folder.
pub(crate) fn tallyhand(home: &Path, arguments: &[&str], input: &[u8]) -> Output {
    tallyhand_with(home, &[], arguments, input)
}

/// The same with settings in its environment.
pub(crate) fn tallyhand_with(home: &Path, settings: &[(&str, &str)], arguments: &[&str], input: &[u8]) -> Output {
    let mut child = command(home)
        .args(arguments)
        .envs(settings.iter().copied())
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the program starts");
    let mut stdin = child.stdin.take().expect("its input is ours");
    let input = input.to_vec();
    // From a thread of its own: the program may answer before it has read everything.
    let feeder = std::thread::spawn(move || {
        // A program that ends without reading its input has its reasons.
        let _ = stdin.write_all(&input);
    });
    let output = child.wait_with_output().expect("the program ends");
    feeder.join().expect("the input was offered");
    Output {
        code: output.status.code(),
        stdout: String::from_utf8(output.stdout).expect("it prints UTF-8"),
        stderr: String::from_utf8(output.stderr).expect("it complains in UTF-8"),
    }
}

/// The program serving on a port of its own choice.
pub(crate) struct Server {
    child: Child,
    /// Kept open: the program may have more to say.
    _output: BufReader<ChildStdout>,
    /// Where it serves, such as `http://127.0.0.1:40123`.
    pub(crate) address: String,
    /// The sign-in link that it printed.
    pub(crate) link: String,
}

impl Server {
    /// Starts it and waits until it has said where it is.
    pub(crate) fn start(home: &Path, book: &Path) -> Server {
        Server::start_with(home, book, &[])
    }

    /// The same with settings in its environment.
    pub(crate) fn start_with(home: &Path, book: &Path, settings: &[(&str, &str)]) -> Server {
        Server::spawn(home, book, settings, Stdio::inherit())
    }

    /// The same with its log kept to be read at the end.
    pub(crate) fn start_logged(home: &Path, book: &Path, settings: &[(&str, &str)]) -> Server {
        Server::spawn(home, book, settings, Stdio::piped())
    }

    /// Starts it over the demo's book.
    pub(crate) fn start_demo(home: &Path) -> Server {
        let mut program = command(home);
        program.args(["serve", "--listen", "127.0.0.1:0", "--demo"]);
        Server::wait_for(&mut program, &[], Stdio::inherit())
    }

    fn spawn(home: &Path, book: &Path, settings: &[(&str, &str)], log: Stdio) -> Server {
        let mut program = command(home);
        program.args(["serve", "--listen", "127.0.0.1:0", "--db"]).arg(book);
        Server::wait_for(&mut program, settings, log)
    }

    /// Starts a program and waits until it has said where it is.
    fn wait_for(program: &mut Command, settings: &[(&str, &str)], log: Stdio) -> Server {
        let mut child = program
            .env("TALLYHAND_SIGNED_SECRET", SECRET)
            .env("TALLYHAND_SENDER_LIMIT", "0")
            .envs(settings.iter().copied())
            .stdout(Stdio::piped())
            .stderr(log)
            .spawn()
            .expect("the program starts");
        let mut output = BufReader::new(child.stdout.take().expect("its output is ours"));
        let mut said = Vec::new();
        for line in output.by_ref().lines() {
            let line = line.expect("it prints UTF-8");
            let is_link = line.contains("/in/");
            said.push(line);
            if is_link {
                break;
            }
        }
        let word = |mark: &str| {
            said.iter()
                .flat_map(|line| line.split(' '))
                .find(|word| word.contains(mark))
                .map(ToString::to_string)
        };
        let (address, link) = (word("http://"), word("/in/"));
        Server {
            child,
            _output: output,
            address: address.expect("it says where it is"),
            link: link.expect("it prints a link"),
        }
    }

    /// Its number among the processes.
    pub(crate) fn id(&self) -> u32 {
        self.child.id()
    }

    /// Waits until it has ended by itself, and gives its exit code.
    pub(crate) fn ends(mut self) -> Option<i32> {
        self.child.wait().expect("it ends").code()
    }

    /// Kills it, and gives what it had logged.
    pub(crate) fn ends_and_gives_log(&mut self) -> String {
        self.child.kill().expect("it was running");
        self.child.wait().expect("it is gone");
        crate::watching::all_of(self.child.stderr.take().expect("its log is kept"))
    }

    /// Ends it as a power cut would: no signal that it could catch.
    pub(crate) fn kill(mut self) {
        self.child.kill().expect("it was running");
        self.child.wait().expect("it is gone");
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        // Both fail when it is gone already, which is what is wanted.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}
