namespace RenderGraph.Nodes.Tests.AudioFiles;

/// <summary>An empty folder of one test, gone after it.</summary>
internal sealed class TempFolder : IDisposable
{
    private readonly DirectoryInfo _folder = Directory.CreateTempSubdirectory("render-graph-test-");

    public string FullName => _folder.FullName;

    public string this[string name] => Path.Join(_folder.FullName, name);

    public string Put(string name, byte[] content)
    {
        // Some file systems wait for the disk when a file is overwritten, not when it is new.
        File.Delete(this[name]);
        File.WriteAllBytes(this[name], content);
        return this[name];
    }

    public void Dispose() => _folder.Delete(recursive: true);
}
