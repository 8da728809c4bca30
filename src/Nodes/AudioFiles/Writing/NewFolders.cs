namespace RenderGraph.Nodes.AudioFiles.Writing;

/// <summary>Folders made for outputs, so that a render that fails takes them away again. Safe to use from several threads.</summary>
internal sealed class NewFolders
{
    private readonly Lock _lock = new();

    /// <summary>Inner ones before those they lie in.</summary>
    private readonly List<string> _made = [];

    /// <summary>Makes a folder and whatever it lies in.</summary>
    /// <param name="folder">Full path.</param>
    /// <exception cref="IOException">It cannot be made.</exception>
    /// <exception cref="UnauthorizedAccessException">It may not be made.</exception>
    public void Make(string folder)
    {
        lock (_lock)
        {
            var missing = new List<string>();
            for (var outer = folder; outer is not null && !Directory.Exists(outer); outer = Path.GetDirectoryName(outer))
                missing.Add(outer);
            _made.InsertRange(0, missing);
            Directory.CreateDirectory(folder);
        }
    }

    /// <summary>Removes the folders made here that have nothing in them.</summary>
    public void RemoveEmpty()
    {
        lock (_lock)
        {
            foreach (var folder in _made)
            {
                try
                {
                    if (Directory.Exists(folder)) Directory.Delete(folder);
                }
                catch (Exception failure) when (failure is IOException or UnauthorizedAccessException)
                {
                    // Something is in it: it stays.
                }
            }
        }
    }
}
