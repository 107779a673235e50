# shellcheck shell=bash
# To be sourced: runs named steps one after another, goes on after a failure so that one run shows everything, and ends
# with a table of what each step took.

step_rows=()
step_failures=0
step_log=var/steps/$(basename "$0").log
mkdir -p var/steps

# step NAME COMMAND...    The command's last line of output stands in the table too.
step() {
  local name=$1 begun=$SECONDS outcome=passed
  shift
  printf '\n== %s\n' "$name"
  if ! "$@" 2>&1 | tee "$step_log"; then
    outcome=FAILED
    step_failures=$((step_failures + 1))
  fi
  step_rows+=("$(printf '%-7s %5d s  %-34s %s' "$outcome" $((SECONDS - begun)) "$name" "$(last_line)")")
}

# The last line that says something, without colours and rules of "=".
last_line() {
  sed -e 's/\x1b\[[0-9;]*m//g' -e 's/^=* *//' -e 's/ *=*$//' -e '/^$/d' "$step_log" | tail -n 1 | cut -c 1-80
}

# Prints the table and leaves with 1 if any step failed.
finish_steps() {
  printf '\n== Summary\n'
  printf '%s\n' "${step_rows[@]}"
  if ((step_failures)); then
    printf '%d of %d steps failed, %d s in all\n' "$step_failures" "${#step_rows[@]}" "$SECONDS"
    exit 1
  fi
  printf 'All %d steps passed, %d s in all\n' "${#step_rows[@]}" "$SECONDS"
}
