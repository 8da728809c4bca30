using System.IO.Hashing;

namespace RenderGraph.Cli.Batch;

internal static class ContentHash
{
    public static string OfFile(string path)
    {
        using var file = File.OpenRead(path);
        var hash = new XxHash128();
        hash.Append(file);
        return Convert.ToHexStringLower(hash.GetCurrentHash());
    }
}
