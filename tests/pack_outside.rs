//! The archive of a set with its photos, held against Python's zipfile: what we
//! write it reads, and what it stores we read.

#![allow(clippy::unwrap_used, reason = "a failed step is a failed test")]

use firstglow::store::pack::{LOCAL, Packer, begin, crc, directory, entries};
use std::process::Command;

fn python(script: &str, file: &std::path::Path) -> String {
    let run = Command::new("python3").args(["-c", script]).arg(file).output();
    let run = run.expect("python3 is installed, as tools/setup-tests.sh has it");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).unwrap()
}

fn scratch(name: &str) -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join(name)
}

#[test]
fn another_program_reads_what_is_packed_here() {
    let files: [(&str, &[u8]); 3] = [
        ("bench.json", b"{\"a\": 1}"),
        ("photos/1-2-3.jpg", b"\xff\xd8 picture"),
        ("photos/é", b""),
    ];
    let mut packer = Packer::default();
    let mut file = Vec::new();
    for (name, bytes) in files {
        file.extend(packer.add(name, crc(bytes), u32::try_from(bytes.len()).unwrap()).unwrap());
        file.extend(bytes);
    }
    file.extend(packer.finish());
    let path = scratch("packed-here.zip");
    std::fs::write(&path, &file).unwrap();
    let script = "import sys, zipfile
z = zipfile.ZipFile(sys.argv[1])
assert z.testzip() is None
for name in z.namelist(): print(name, [*z.read(name)])";
    let wanted: Vec<String> = files.iter().map(|(n, b)| format!("{n} {b:?}")).collect();
    assert_eq!(python(script, &path).lines().collect::<Vec<_>>(), wanted);
}

#[test]
fn what_another_program_stores_is_read_here_and_what_it_compresses_is_refused() {
    let path = scratch("packed-there.zip");
    let pack = |how: &str| {
        let script = format!(
            "import sys, zipfile
z = zipfile.ZipFile(sys.argv[1], 'w', zipfile.{how})
z.writestr('bench.json', b'abc' * 100)
z.comment = b'a remark at the end'
z.close()"
        );
        python(&script, &path);
        std::fs::read(&path).unwrap()
    };
    let file = pack("ZIP_STORED");
    let (start, size) = directory(&file, file.len() as u64).unwrap();
    let range = |start: u64, size: u64| {
        &file[usize::try_from(start).unwrap()..usize::try_from(start + size).unwrap()]
    };
    let found = entries(range(start, size)).unwrap();
    assert_eq!(found[0].name, "bench.json");
    let local = range(u64::from(found[0].header), LOCAL as u64);
    let bytes = range(begin(&found[0], local).unwrap(), u64::from(found[0].size));
    assert_eq!((bytes.len(), crc(bytes)), (300, found[0].crc));
    let file = pack("ZIP_DEFLATED");
    let (start, size) = directory(&file, file.len() as u64).unwrap();
    let directory = &file[usize::try_from(start).unwrap()..][..usize::try_from(size).unwrap()];
    assert!(entries(directory).unwrap_err().to_string().contains("bench.json is compressed"));
}
