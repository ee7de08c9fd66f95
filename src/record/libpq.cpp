#include "record/libpq.h"

#include <string>

#include <dlfcn.h>

#include "base/error.h"

namespace rigproof {
namespace {

[[noreturn]] void missing() {
  throw Error(ErrorKind::io,
              std::string("PostgreSQL's client library cannot be loaded: ") + dlerror(),
              "Install it (package libpq5), or keep the history in a file.");
}

template <class Function>
void find(void* library, const char* name, Function& function) {
  function = reinterpret_cast<Function>(dlsym(library, name));
  if (!function) missing();
}

Libpq load() {
  void* library = dlopen("libpq.so.5", RTLD_NOW | RTLD_LOCAL);
  if (!library) missing();
  Libpq pq;
  find(library, "PQclear", pq.clear);
  find(library, "PQcmdTuples", pq.cmd_tuples);
  find(library, "PQconnectdbParams", pq.connect);
  find(library, "PQconninfoFree", pq.free_options);
  find(library, "PQconninfoParse", pq.parse_options);
  find(library, "PQdb", pq.database);
  find(library, "PQerrorMessage", pq.error_message);
  find(library, "PQexec", pq.exec);
  find(library, "PQexecParams", pq.exec_params);
  find(library, "PQfinish", pq.finish);
  find(library, "PQfreemem", pq.free);
  find(library, "PQftype", pq.type);
  find(library, "PQgetisnull", pq.is_null);
  find(library, "PQgetlength", pq.length);
  find(library, "PQgetvalue", pq.value);
  find(library, "PQhost", pq.host);
  find(library, "PQnfields", pq.fields);
  find(library, "PQntuples", pq.tuples);
  find(library, "PQresultStatus", pq.result_status);
  find(library, "PQsetNoticeProcessor", pq.set_notice_processor);
  find(library, "PQstatus", pq.status);
  return pq;
}

}  // namespace

const Libpq& libpq() {
  static const Libpq loaded = load();
  return loaded;
}

}  // namespace rigproof
