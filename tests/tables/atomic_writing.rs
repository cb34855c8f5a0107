//! Files are written whole or not at all, with the permissions that they should have.

use lookwright::formats::atomic::write_atomically;
use std::fs;
use std::io::{self, ErrorKind};
use std::path::Path;

fn entries(folder: &Path) -> io::Result<usize> {
    Ok(fs::read_dir(folder)?.count())
}

#[test]
fn a_file_is_made_and_then_replaced() -> io::Result<()> {
    let folder = tempfile::tempdir()?;
    let path = folder.path().join("quayside.cube");
    for bytes in [&b"first"[..], b"", b"third, longer than the first"] {
        write_atomically(&path, bytes)?;
        assert_eq!(fs::read(&path)?, bytes);
        assert_eq!(entries(folder.path())?, 1);
    }
    Ok(())
}

#[test]
fn what_cannot_be_written_is_reported_and_nothing_is_left_behind() -> io::Result<()> {
    let folder = tempfile::tempdir()?;
    let inside = folder.path().join("folder");
    fs::create_dir(&inside)?;
    let file = folder.path().join("file");
    fs::write(&file, b"kept")?;
    let long_name = "n".repeat(300);
    for (path, what) in [
        (inside.clone(), "a folder"),
        (folder.path().join("missing/quayside.cube"), "a missing folder"),
        (file.join("quayside.cube"), "a file as a folder"),
        (folder.path().join(long_name), "a name too long"),
        (Path::new("").to_owned(), "no name"),
    ] {
        assert!(write_atomically(&path, b"new").is_err(), "{what} was written to");
        assert_eq!(entries(folder.path())?, 2, "{what}: something was left behind");
        assert_eq!(entries(&inside)?, 0, "{what}: something was left behind inside");
        assert_eq!(fs::read(&file)?, b"kept", "{what}");
    }
    assert_eq!(write_atomically(&inside, b"new").map_err(|error| error.kind()), Err(ErrorKind::IsADirectory));
    Ok(())
}

#[cfg(unix)]
mod unix {
    use super::{entries, write_atomically};
    use std::fs::{self, Permissions};
    use std::io;
    use std::os::unix::fs::{FileTypeExt, PermissionsExt, symlink};
    use std::path::Path;
    use std::process::Command;

    fn mode(path: &Path) -> io::Result<u32> {
        Ok(fs::metadata(path)?.permissions().mode() & 0o777)
    }

    #[test]
    fn a_new_file_has_the_usual_permissions_and_an_old_one_keeps_its_own() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        // The system's own choice for a new file is the reference.
        let usual = folder.path().join("usual");
        fs::write(&usual, b"")?;
        let path = folder.path().join("quayside.cube");
        write_atomically(&path, b"new")?;
        assert_eq!(mode(&path)?, mode(&usual)?, "a new file");
        for kept in [0o600, 0o664, 0o444] {
            fs::set_permissions(&path, Permissions::from_mode(kept))?;
            write_atomically(&path, b"again")?;
            assert_eq!(mode(&path)?, kept, "an old file of mode {kept:o}");
        }
        Ok(())
    }

    #[test]
    fn a_link_is_followed_and_stays() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        let (real, link) = (folder.path().join("real"), folder.path().join("link"));
        fs::write(&real, b"old")?;
        symlink("real", &link)?;
        write_atomically(&link, b"new")?;
        assert!(fs::symlink_metadata(&link)?.is_symlink(), "the link was replaced");
        assert_eq!(fs::read(&real)?, b"new");
        Ok(())
    }

    #[test]
    fn a_device_is_never_replaced() -> io::Result<()> {
        // A pipe of our own stands for any device: the real ones must not be put at risk.
        let folder = tempfile::tempdir()?;
        let pipe = folder.path().join("pipe");
        assert!(Command::new("mkfifo").arg(&pipe).status()?.success(), "mkfifo failed");
        assert!(write_atomically(&pipe, b"new").is_err());
        assert!(fs::symlink_metadata(&pipe)?.file_type().is_fifo(), "the pipe was replaced");
        assert_eq!(entries(folder.path())?, 1);
        Ok(())
    }

    #[test]
    fn a_read_only_folder_is_an_error() -> io::Result<()> {
        let folder = tempfile::tempdir()?;
        fs::set_permissions(folder.path(), Permissions::from_mode(0o555))?;
        let path = folder.path().join("quayside.cube");
        if fs::write(folder.path().join("probe"), b"").is_ok() {
            // The superuser may write anywhere; a folder of the kernel takes no files from anyone.
            #[cfg(target_os = "linux")]
            assert!(write_atomically(Path::new("/proc/quayside.cube"), b"new").is_err());
            return Ok(());
        }
        assert!(write_atomically(&path, b"new").is_err());
        assert_eq!(entries(folder.path())?, 0);
        fs::set_permissions(folder.path(), Permissions::from_mode(0o755))
    }

    /// Names the folder in which the test below, started again by itself, writes more than it may.
    const CRAMPED: &str = "LOOKWRIGHT_TEST_CRAMPED_FOLDER";

    #[test]
    fn when_space_runs_out_the_old_file_stays_and_nothing_is_left_behind() -> io::Result<()> {
        let more_than_allowed = vec![b'x'; 1 << 20];
        if let Some(folder) = std::env::var_os(CRAMPED) {
            let written = write_atomically(&Path::new(&folder).join("quayside.cube"), &more_than_allowed);
            assert!(written.is_err(), "a megabyte was written where 8 kilobytes are allowed");
            return Ok(());
        }
        let folder = tempfile::tempdir()?;
        let path = folder.path().join("quayside.cube");
        write_atomically(&path, b"old")?;
        // A limit on the size of files makes the kernel refuse in the middle, as a full disk does. The signal that goes
        // with it is ignored. Blocks are of 512 or 1024 bytes.
        let started = Command::new("sh")
            .args(["-c", "trap '' XFSZ; ulimit -f 8; exec \"$0\" --exact \"$1\""])
            .arg(std::env::current_exe()?)
            .arg("atomic_writing::unix::when_space_runs_out_the_old_file_stays_and_nothing_is_left_behind")
            .env(CRAMPED, folder.path())
            .output()?;
        assert!(started.status.success(), "{}", String::from_utf8_lossy(&started.stdout));
        assert!(String::from_utf8_lossy(&started.stdout).contains("1 passed"), "the cramped test did not run");
        assert_eq!(fs::read(&path)?, b"old");
        assert_eq!(entries(folder.path())?, 1, "something was left behind");
        Ok(())
    }
}
