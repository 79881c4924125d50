"""The process that `bagatelle.kit.children` starts."""

from bagatelle.kit.examined import main

if __name__ == "__main__":
    main()
