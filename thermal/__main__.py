"""python -m thermal"""

from thermal.cli import main

main()
