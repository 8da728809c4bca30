namespace RenderGraph.Graph.Validation;

/// <summary>Files that must not be written to, found again under any spelling and through any link.</summary>
internal sealed class TakenFiles
{
    private readonly Dictionary<string, List<(string Name, string Path, FileSpelling Physical)>> _byOutline = new(StringComparer.Ordinal);

    /// <summary>Adds one.</summary>
    /// <param name="name">What sentences call it.</param>
    /// <param name="path">Full path.</param>
    public void Add(string name, string path)
    {
        var physical = new FileSpelling(PhysicalPath.Of(path));
        if (!_byOutline.TryGetValue(physical.Outline, out var alike))
            _byOutline.Add(physical.Outline, alike = []);
        alike.Add((name, path, physical));
    }

    /// <summary>The first one that a path leads to, and what makes them one file where that is not plain to see; null if none.</summary>
    public (string Name, string Why)? Find(string path)
    {
        var physical = new FileSpelling(PhysicalPath.Of(path));
        foreach (var other in _byOutline.GetValueOrDefault(physical.Outline, []))
        {
            if (physical.IsSameFileAs(other.Physical))
                return (other.Name, Why(path, physical.Path, other.Path, other.Physical.Path));
        }

        return null;
    }

    private static string Why(string path, string physical, string other, string otherPhysical) =>
        path == other ? ""
        : physical == otherPhysical ? ": a link leads from one to the other"
        : physical.Equals(otherPhysical, StringComparison.OrdinalIgnoreCase) ? ": they differ only in capital letters, and many systems take that for one file"
        : ": they differ only in how an accented letter is composed, and many systems take that for one file";
}
