namespace RenderGraph.Nodes.AudioFiles.Writing;

/// <summary>Parts that nobody writes any more: a render that is killed cannot take its own away, so the next one does.</summary>
internal static class StaleParts
{
    /// <summary>Removes them from a folder. A part that is being written is locked by who writes it, and stays; so does whatever cannot be removed.</summary>
    public static void Sweep(string folder)
    {
        try
        {
            foreach (var path in Directory.EnumerateFiles(folder, ".*.part", new EnumerationOptions { AttributesToSkip = 0 }).Where(PartFile.IsPart))
                Remove(path);
        }
        catch (Exception failure) when (PartFile.IsFailure(failure))
        {
            // Litter is no reason not to render.
        }
    }

    private static void Remove(string path)
    {
        try
        {
            if (new FileInfo(path).LinkTarget is null)
            {
                using var nobodyElse = File.OpenHandle(path, FileMode.Open, FileAccess.Read, FileShare.None);
            }

            File.Delete(path);
        }
        catch (Exception failure) when (PartFile.IsFailure(failure))
        {
            // Somebody writes it, or it is not ours to remove.
        }
    }
}
