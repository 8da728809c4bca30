namespace RenderGraph.Cli.Batch;

/// <summary>One song of a batch.</summary>
/// <param name="Name">What it is called in results, and its folder in the folder of the outputs.</param>
/// <param name="Folder">Its stems' folder, as it was typed or found.</param>
internal sealed record Song(string Name, string Folder);
