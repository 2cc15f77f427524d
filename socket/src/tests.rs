//! Sockets to a server on this machine.

use super::*;
use futures_util::{SinkExt as _, StreamExt as _};
use rcgen::{CertifiedKey, generate_simple_self_signed};
use rustls::pki_types::PrivateKeyDer;
use rustls::{ClientConfig, RootCertStore, ServerConfig};
use std::sync::Arc;
use tokio::io::{AsyncRead, AsyncWrite};
use tokio::net::TcpListener;
use tokio_rustls::TlsAcceptor;
use tungstenite::Message;

/// Sends back every text of one client.
async fn echo(stream: impl AsyncRead + AsyncWrite + Unpin) {
    let mut socket = accept_async(stream).await.unwrap();
    while let Some(Ok(message)) = socket.next().await {
        if message.is_text() {
            socket.send(message).await.unwrap();
        }
    }
}

/// A server whose certificate is for `name`: its address, and a client's settings that trust it.
async fn server_for(name: &str) -> (String, Connector) {
    let CertifiedKey { cert, signing_key } =
        generate_simple_self_signed([name.to_owned()]).unwrap();
    let key = PrivateKeyDer::try_from(signing_key.serialize_der()).unwrap();
    let config = ServerConfig::builder()
        .with_no_client_auth()
        .with_single_cert(vec![cert.der().clone()], key)
        .unwrap();
    let listener = TcpListener::bind("127.0.0.1:0").await.unwrap();
    let address = format!("wss://{}/", listener.local_addr().unwrap());
    tokio::spawn(async move {
        let (stream, _) = listener.accept().await.unwrap();
        // A client that does not trust the server breaks off here.
        if let Ok(stream) = TlsAcceptor::from(Arc::new(config)).accept(stream).await {
            echo(stream).await;
        }
    });
    let mut roots = RootCertStore::empty();
    roots.add(cert.der().clone()).unwrap();
    let trusting = ClientConfig::builder().with_root_certificates(roots).with_no_client_auth();
    (address, Connector::Rustls(Arc::new(trusting)))
}

/// Why it was refused, in the library's words.
async fn refusal(address: &str, trusting: Option<Connector>) -> String {
    let refused = connect_async_tls_with_config(address, None, false, trusting).await;
    refused.expect_err("it is refused").to_string()
}

#[tokio::test]
async fn a_server_that_is_vouched_for_is_spoken_to() {
    let (address, trusting) = server_for("127.0.0.1").await;
    let connected = connect_async_tls_with_config(address, None, false, Some(trusting)).await;
    let (mut socket, answer) = connected.unwrap();
    assert_eq!(answer.status(), 101, "RFC 6455, section 4.1");
    assert!(matches!(socket.get_ref(), MaybeTlsStream::Rustls(_)));
    let long = "the ford is held ".repeat(100_000);
    socket.send(Message::text(&long)).await.unwrap();
    assert_eq!(socket.next().await.unwrap().unwrap(), Message::text(long));
}

/// The very call that serenity makes.
#[tokio::test]
async fn a_server_that_no_root_vouches_for_is_refused() {
    let (address, _) = server_for("127.0.0.1").await;
    let refused = connect_async_with_config(&address, None, false).await.unwrap_err().to_string();
    assert!(refused.contains("UnknownIssuer"), "{refused}");
    let (address, _) = server_for("127.0.0.1").await;
    let (_, trusts_another) = server_for("127.0.0.1").await;
    let refused = refusal(&address, Some(trusts_another)).await;
    assert!(refused.contains("invalid peer certificate"), "{refused}");
}

#[tokio::test]
async fn a_certificate_for_another_name_is_refused() {
    let (address, trusting) = server_for("harrow.example").await;
    let refused = refusal(&address, Some(trusting)).await;
    assert!(refused.contains("not valid for name"), "{refused}");
}

#[tokio::test]
async fn what_is_no_address_of_a_socket_is_refused() {
    assert_eq!(refusal("https://127.0.0.1/", None).await, "URL error: URL scheme not supported");
}
