//! The platform's addresses: what each takes, and what of its answer is wanted.

use super::rest::{Failed, Parcel, Rest, RestRequest};
use super::route::ReplyRoute;
use reqwest::Method;
use serde::Serialize;
use serde_json::Value;

/// Whom a private channel is with.
#[derive(Serialize)]
struct Recipient {
    recipient_id: String,
}

impl Rest {
    /// Answers an interaction at once: acknowledges it, shows a form, or offers choices.
    pub async fn acknowledge(&self, via: &ReplyRoute, answer: &Parcel) -> Result<(), Failed> {
        let path = format!("/interactions/{}/{}/callback", via.id, via.token);
        self.send(RestRequest::new(Method::POST, path).carrying(answer).at_once()).await.map(drop)
    }

    /// Puts the answer in the place of the acknowledgement.
    pub async fn edit_original(&self, via: &ReplyRoute, message: &Parcel) -> Result<(), Failed> {
        let request = RestRequest::new(Method::PATCH, original(via)).carrying(message);
        self.send(request).await.map(drop)
    }

    /// Takes the acknowledgement away.
    pub async fn delete_original(&self, via: &ReplyRoute) -> Result<(), Failed> {
        self.send(RestRequest::new(Method::DELETE, original(via))).await.map(drop)
    }

    /// Answers once more.
    pub async fn follow_up(&self, via: &ReplyRoute, message: &Parcel) -> Result<(), Failed> {
        let path = format!("/webhooks/{}/{}", via.application, via.token);
        self.send(RestRequest::new(Method::POST, path).carrying(message)).await.map(drop)
    }

    /// Posts in a channel; the message's id.
    pub async fn post(&self, channel: u64, message: &Parcel) -> Result<u64, Failed> {
        let path = format!("/channels/{channel}/messages");
        id_of(&self.send(RestRequest::new(Method::POST, path).carrying(message)).await?)
    }

    /// Edits a message of the bot's own in a channel.
    pub async fn edit(&self, channel: u64, id: u64, message: &Parcel) -> Result<(), Failed> {
        let path = format!("/channels/{channel}/messages/{id}");
        self.send(RestRequest::new(Method::PATCH, path).carrying(message)).await.map(drop)
    }

    /// Deletes a message of the bot's own.
    pub async fn delete(&self, channel: u64, id: u64) -> Result<(), Failed> {
        let path = format!("/channels/{channel}/messages/{id}");
        self.send(RestRequest::new(Method::DELETE, path)).await.map(drop)
    }

    /// Up to 100 messages of a channel after the one with that id, as the platform shows them.
    pub async fn messages_after(&self, channel: u64, id: u64) -> Result<Value, Failed> {
        let request = RestRequest::new(Method::GET, format!("/channels/{channel}/messages"));
        self.send(request.asking(format!("?after={id}&limit=100"))).await
    }

    /// The id of the channel for private messages to a person.
    pub async fn private_channel(&self, user: u64) -> Result<u64, Failed> {
        let with = Parcel::of(&Recipient { recipient_id: user.to_string() });
        let path = "/users/@me/channels".to_owned();
        id_of(&self.send(RestRequest::new(Method::POST, path).carrying(&with)).await?)
    }

    /// The id of the bot's application, which also tells whether the token is right.
    pub async fn application(&self) -> Result<u64, Failed> {
        let path = "/applications/@me".to_owned();
        id_of(&self.send(RestRequest::new(Method::GET, path)).await?)
    }

    /// The gateway's address.
    pub async fn gateway(&self) -> Result<String, Failed> {
        let answer = self.send(RestRequest::new(Method::GET, "/gateway".to_owned())).await?;
        answer["url"].as_str().map(str::to_owned).ok_or_else(|| unreadable("no address"))
    }

    /// Registers the application's commands, in the place of those it had: everywhere, or at once
    /// for one server.
    pub async fn register(
        &self,
        application: u64,
        server: Option<u64>,
        commands: &Parcel,
    ) -> Result<(), Failed> {
        let path = match server {
            Some(server) => format!("/applications/{application}/guilds/{server}/commands"),
            None => format!("/applications/{application}/commands"),
        };
        self.send(RestRequest::new(Method::PUT, path).carrying(commands)).await.map(drop)
    }
}

fn original(via: &ReplyRoute) -> String {
    format!("/webhooks/{}/{}/messages/@original", via.application, via.token)
}

fn id_of(answer: &Value) -> Result<u64, Failed> {
    answer["id"].as_str().and_then(|id| id.parse().ok()).ok_or_else(|| unreadable("no id"))
}

fn unreadable(why: &str) -> Failed {
    Failed::Unreachable(format!("the answer has {why}"))
}
