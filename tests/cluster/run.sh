#!/usr/bin/env bash
# A library measured by a Dask cluster against the same on one machine: bash tests/cluster/run.sh PROGRAM
# PYTHON names a Python that has shared/cluster/requirements.txt; without it they are installed below target/.
# Exit code 3: they can't be had.
set -euo pipefail
TRACEARM=$(realpath "$1")
export TRACEARM
cd "$(dirname "$0")/../.."
if [ -z "${PYTHON:-}" ]; then
    environment=target/cluster-python
    [ -x "$environment/bin/pip" ] || python3 -m venv "$environment" || exit 3
    "$environment/bin/pip" install --quiet --requirement shared/cluster/requirements.txt || exit 3
    PYTHON=$environment/bin/python
fi
exec "$PYTHON" -B -W ignore::ResourceWarning tests/cluster/test_cluster.py
