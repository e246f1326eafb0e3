#include "server/app.h"

namespace server {

void AddPages(App&) {}
void AddShelfPages(App&) {}

}  // namespace server
