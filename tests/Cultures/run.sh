#!/usr/bin/env bash
# Runs the tests on machines of other habits: decimal commas, a Turkish i, another calendar and other digits. The product has no cultures (InvariantGlobalization), so
# here they are switched on, for the program and the tests alike: what passes then does not hang on their being off. Without cultures is how the tests run everywhere else.
#
# usage: tests/Cultures/run.sh WORK_FOLDER [FILTER]
#   after `dotnet build -c Release`; FILTER as in `dotnet test --filter` (default: all tests); PROJECTS=... fewer projects
#
# Ends with the plain line "N passed, N failed". Needs ICU (Debian: libicu72).
set -uo pipefail
root=$(cd "$(dirname "$0")/../.." && pwd)
work=$1 filter=${2:-}
projects=${PROJECTS:-Graph.Tests Nodes.Tests Cli.Tests}
passed=0 failed=0
mkdir -p "$work"
for project in $projects; do
  rm -rf "${work:?}/$project"; cp -r "$root/tests/$project/bin/Release/net10.0" "$work/$project"
  sed -i 's/"System.Globalization.Invariant": true/"System.Globalization.Invariant": false/; s/"System.Globalization.PredefinedCulturesOnly": true/"System.Globalization.PredefinedCulturesOnly": false/' "$work/$project"/*.runtimeconfig.json
done
for culture in de_DE tr_TR ar_SA; do
  for project in $projects; do
    LC_ALL=$culture.UTF-8 LANG=$culture.UTF-8 RENDERGRAPH_CULTURE=${culture/_/-} SNAPSHOOTER_STRICT_MODE=on DOTNET_CLI_UI_LANGUAGE=en dotnet test "$work/$project/RenderGraph.$project.dll" ${filter:+--filter "$filter"} > "$work/$project-$culture.txt" 2>&1
    code=$?
    good=$(grep -oE 'Passed: +[0-9]+' "$work/$project-$culture.txt" | grep -oE '[0-9]+' || echo 0)
    bad=$(grep -oE 'Failed: +[0-9]+' "$work/$project-$culture.txt" | grep -oE '[0-9]+' || echo 0)
    [ "$code" -ne 0 ] && [ "$bad" -eq 0 ] && bad=1
    if [ "$bad" -ne 0 ]; then grep -E '^ +Failed |rror' "$work/$project-$culture.txt" | head -20; fi
    echo "$culture $project: $good passed, $bad failed"
    passed=$((passed + good)) failed=$((failed + bad))
  done
done
echo "$passed passed, $failed failed"
[ "$failed" -eq 0 ] && [ "$passed" -gt 0 ]
