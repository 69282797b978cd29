//! baylap editor.
