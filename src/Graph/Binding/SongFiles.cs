namespace RenderGraph.Graph.Binding;

/// <summary>What a song's folder holds.</summary>
/// <param name="Title">The song's name, unless its own file says another.</param>
/// <param name="Files">Its audio files, from its folder, <c>/</c> between folders.</param>
/// <param name="OwnFile">What the song says differently (<c>song.json</c>): its name for messages and its text; null if there is none.</param>
public sealed record SongFiles(string Title, IReadOnlyList<string> Files, (string Name, ReadOnlyMemory<byte> Utf8)? OwnFile = null);
