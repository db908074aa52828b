"""The parts of README and reports/ that are generated: `python -m tests.docs.refresh` writes them all anew."""
