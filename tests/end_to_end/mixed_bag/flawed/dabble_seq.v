module double_dabble (
  input clk, input rst, input start, input [7:0] bin,
  output reg [11:0] bcd, output reg done
);
  reg [3:0] n; reg [19:0] sh; reg run;
  wire [3:0] a = sh[11:8]  > 4 ? sh[11:8]  + 4'd3 : sh[11:8];
  wire [3:0] b = sh[15:12] >= 4 ? sh[15:12] + 4'd3 : sh[15:12];
  wire [3:0] c = sh[19:16] > 4 ? sh[19:16] + 4'd3 : sh[19:16];
  always @(posedge clk)
    if (rst) begin run <= 0; done <= 0; bcd <= 0; n <= 0; sh <= 0; end
    else begin
      done <= 0;
      if (!run) begin
        if (start) begin sh <= {12'b0, bin}; n <= 8; run <= 1; end
      end else begin
        sh <= {c, b, a, sh[7:0]} << 1;
        n <= n - 1;
        if (n == 1) begin run <= 0; done <= 1; bcd <= {c[2:0], b, a, sh[7]}; end
      end
    end
endmodule
