#pragma once

#include <libpq-fe.h>

namespace rigproof {

/// PostgreSQL's client library, loaded when a store of that kind is first opened. Linked, it and
/// the dozen libraries behind it would lengthen every start of the program.
struct Libpq {
  decltype(&PQclear) clear = nullptr;
  decltype(&PQcmdTuples) cmd_tuples = nullptr;
  decltype(&PQconnectdbParams) connect = nullptr;
  decltype(&PQconninfoFree) free_options = nullptr;
  decltype(&PQconninfoParse) parse_options = nullptr;
  decltype(&PQdb) database = nullptr;
  decltype(&PQerrorMessage) error_message = nullptr;
  decltype(&PQexec) exec = nullptr;
  decltype(&PQexecParams) exec_params = nullptr;
  decltype(&PQfinish) finish = nullptr;
  decltype(&PQfreemem) free = nullptr;
  decltype(&PQftype) type = nullptr;
  decltype(&PQgetisnull) is_null = nullptr;
  decltype(&PQgetlength) length = nullptr;
  decltype(&PQgetvalue) value = nullptr;
  decltype(&PQhost) host = nullptr;
  decltype(&PQnfields) fields = nullptr;
  decltype(&PQntuples) tuples = nullptr;
  decltype(&PQresultStatus) result_status = nullptr;
  decltype(&PQsetNoticeProcessor) set_notice_processor = nullptr;
  decltype(&PQstatus) status = nullptr;
};

/// Loaded once and kept. Throws Error(io) when it is not installed.
const Libpq& libpq();

}  // namespace rigproof
