namespace RenderGraph.Cli.Tests;

/// <summary>A folder of its own for a test, gone afterwards.</summary>
public sealed class TempFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("rendergraph-cli-").FullName;

    public string this[string name] => System.IO.Path.Combine(Path, name);

    /// <summary>Writes a text file and gives its path.</summary>
    public string Write(string name, string text)
    {
        File.WriteAllText(this[name], text);
        return this[name];
    }

    /// <summary>Names of everything in it, sorted.</summary>
    public IReadOnlyList<string> Names =>
        [.. Directory.EnumerateFiles(Path, "*", SearchOption.AllDirectories).Select(file => System.IO.Path.GetRelativePath(Path, file)).Order(StringComparer.Ordinal)];

    public void Dispose() => Directory.Delete(Path, recursive: true);
}
