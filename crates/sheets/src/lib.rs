//! Documents for the bench: CSV sheets, the packet and the templates.
