"""Validates bags with the Library of Congress's program: one process for all of them.

Reads paths from the command line and writes, as JSON, null for each bag that is valid and the fault for any other.
"""

import json
import logging
import sys

import bagit


def fault(path):
    try:
        bagit.Bag(path).validate(processes=1)
    except bagit.BagError as error:
        return str(error) or "not valid"
    return None


logging.disable(logging.CRITICAL)
json.dump([fault(path) for path in sys.argv[1:]], sys.stdout)
