#include "report/pdf_attach.h"

#include <memory>

#include <qpdf/Buffer.hh>
#include <qpdf/QPDF.hh>
#include <qpdf/QPDFEFStreamObjectHelper.hh>
#include <qpdf/QPDFEmbeddedFileDocumentHelper.hh>
#include <qpdf/QPDFFileSpecObjectHelper.hh>
#include <qpdf/QPDFWriter.hh>

#include "base/error.h"

namespace rigproof {
namespace {

void add_file(QPDF& pdf, const Attachment& file) {
  auto stream = QPDFEFStreamObjectHelper::createEFStream(pdf, file.content);
  stream.setSubtype(file.media_type);
  stream.setCreationDate(file.date);
  stream.setModDate(file.date);
  auto spec = QPDFFileSpecObjectHelper::createFileSpec(pdf, file.name, stream);
  spec.setDescription(file.description);
  QPDFObjectHandle handle = spec.getObjectHandle();
  handle.replaceKey("/AFRelationship", QPDFObjectHandle::newName("/Data"));
  QPDFEmbeddedFileDocumentHelper(pdf).replaceEmbeddedFile(file.name, spec);
  QPDFObjectHandle associated = QPDFObjectHandle::newArray();
  associated.appendItem(handle);
  pdf.getRoot().replaceKey("/AF", associated);
}

}  // namespace

std::string attach(const std::string& bytes, const Attachment& file, const std::string& language) {
  try {
    QPDF pdf;
    pdf.setSuppressWarnings(true);
    pdf.processMemoryFile("document", bytes.data(), bytes.size());
    add_file(pdf, file);
    QPDFObjectHandle root = pdf.getRoot();
    root.replaceKey("/Lang", QPDFObjectHandle::newUnicodeString(language));
    QPDFObjectHandle preferences = QPDFObjectHandle::newDictionary();
    preferences.replaceKey("/DisplayDocTitle", QPDFObjectHandle::newBool(true));
    root.replaceKey("/ViewerPreferences", preferences);
    QPDFWriter writer(pdf);
    writer.setOutputMemory();
    writer.setDeterministicID(true);
    writer.setMinimumPDFVersion("1.7");
    writer.write();
    const std::shared_ptr<Buffer> out = writer.getBufferSharedPointer();
    return std::string(reinterpret_cast<const char*>(out->getBuffer()), out->getSize());
  } catch (const std::exception& e) {
    throw Error(ErrorKind::internal, std::string("report: attaching to a PDF: ") + e.what());
  }
}

}  // namespace rigproof
