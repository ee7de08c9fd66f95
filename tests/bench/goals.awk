# Shared by compare.sh and session.sh: the columns of a table of time_runs, and goals held against it.
# `missed` is set once a goal is not met.

# Column k behind the name, which is 20 characters wide.
function value(line, k,  f, n) {
  n = split(substr(line, 21), f, " ")
  return f[k]
}

function goal(name, reached, wanted, at_most,  met) {
  met = at_most ? reached <= wanted : reached >= wanted
  if (!met) missed = 1
  printf "%-58s %8.2f  goal %s %-6g %s\n", name, reached, at_most ? "<=" : ">=", wanted,
         met ? "met" : "MISSED"
}
