module stopwatch #(parameter F_CLK = 1000) (
  input clk, input reset, input run,
  output reg [3:0] sec_ones, output reg [3:0] sec_tens, output reg [3:0] min_ones, output reg [3:0] min_tens);
  reg [9:0] pre;
  wire tick = run && pre == F_CLK - 1;
  always @(posedge clk)
    if (reset) begin pre <= 0; sec_ones <= 0; sec_tens <= 0; min_ones <= 0; min_tens <= 0; end
    else begin
      if (run) pre <= tick ? 0 : pre + 1;
      if (tick) begin
        sec_ones <= sec_ones == 9 ? 0 : sec_ones + 1;
        if (sec_ones == 9) begin
          sec_tens <= sec_tens == 6 ? 0 : sec_tens + 1;
          if (sec_tens == 5) begin
            min_ones <= min_ones == 9 ? 0 : min_ones + 1;
            if (min_ones == 9) min_tens <= min_tens == 5 ? 0 : min_tens + 1;
          end
        end
      end
    end
endmodule
