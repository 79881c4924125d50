"""The files of a new plugin, with gaps for its name: `bagatelle.kit.beginning` fills them."""
