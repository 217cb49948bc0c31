//! The firing order.

use crate::diagnostic::Fault;
use crate::names::Names;
use crate::plate_file::port_called;
use crate::reader::Reader;
use crate::value::{Fields, Read};

/// The ports in the order in which their cylinders fire; empty where the spec does not say.
pub(crate) fn firing_order(reader: &mut Reader, root: &Fields, ports: Names) -> Read<Vec<usize>> {
    let key = "firing_order";
    let Some(listed) = root.get::<&[String]>(key)? else { return Ok(Vec::new()) };
    let mut order = Vec::new();
    for name in listed {
        let port = port_called(reader, root, key, name, ports)?;
        if order.contains(&port) {
            let fault = Fault::new("port-twice", format!("port \"{name}\" fires twice")).label("twice");
            return Err(reader.fault(root.span_of(key), fault.help("list each port once")));
        }
        order.push(port);
    }
    if let Some(port) = (0..ports.list().len()).find(|port| !order.contains(port)) {
        let message = format!("port \"{}\" is not in the firing order", ports.list()[port].0);
        let fault = Fault::new("firing-order-short", message).label("one is missing");
        return Err(reader.fault(root.span_of(key), fault.help("list every port once")));
    }
    Ok(order)
}
