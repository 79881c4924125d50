"""`python -m tests.corpus`: write the plan of every worked routine again; say which texts changed."""

from tests.corpus.worked_routine import FOLDER, names, text_of, text_path


def main() -> None:
    wanted = {text_path(name): text_of(name) for name in names()}
    for path in sorted(set(FOLDER.glob("*.txt")) - set(wanted)):
        path.unlink()
        print(f"removed {path.name}")
    changed = [path for path, text in wanted.items() if not path.exists() or path.read_text("utf-8") != text]
    for path in changed:
        path.write_text(wanted[path], encoding="utf-8")
        print(f"wrote {path.name}")
    print(f"{len(wanted)} plans, {len(changed)} of them changed")


if __name__ == "__main__":
    main()
